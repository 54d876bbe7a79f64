//! No text makes a reader panic, and every place that it names lies in its text.

use input::{read_devices, read_job, read_settings, Diagnostic, JobSources, Sources};
use proptest::prelude::*;

/// Text made of the words that the files are made of, so that it gets past the first fault.
fn near_text() -> impl Strategy<Value = String> {
    let word = prop::sample::select(vec![
        "point",
        "at",
        "value",
        "reading",
        "meter",
        "range",
        "source",
        "quantity",
        "setting",
        "tolerance",
        ",",
        ",",
        ",",
        ";",
        "\t",
        "\n",
        "\n",
        "\r\n",
        "\"",
        "\"\"",
        "#",
        " ",
        "1",
        "85",
        "plate1",
        "R1",
        "ohm",
        "dc mA",
        "20k/V",
        "4,7",
        "∞",
        "OL",
        "µ",
        "½",
        "%",
        "R1=50%",
        "[",
        "]",
        "{",
        "}",
        "=",
        " = ",
        "input",
        "ranges",
        "accuracy",
        "ac",
        "counts",
        "[x]\n",
        "\"10M\"",
        "[\"2V\"]",
        "[as-documented]\n",
        "[on-the-bench]\n",
        "readings",
        "title",
        "line",
        "\"117V\"",
        "tube",
        "2,3",
        "V1",
        "6.3ac",
        "NC",
        "~",
        "class",
        "\"twin triode\"",
        "pins",
        "1 = \"plate A\"",
        "[[x.point]]\n",
        "plate",
        "gm",
        "\"1.6 mA/V\"",
        "unknown",
        "\"unknown\"",
        "guard",
        "hot-chassis",
        "serial",
        "true",
        "[worksheet]\n",
        "order",
        "[\"V1\", \"rails\"]",
        "[suspects]\n",
        "ages",
        "{ tube = 5 }",
        "hazard-penalty",
    ]);
    prop::collection::vec(word, 0..60).prop_map(|words| words.concat())
}

fn any_text() -> impl Strategy<Value = String> {
    prop_oneof![near_text(), "\\PC{0,80}", "(?s).{0,80}"]
}

fn check(sources: &Sources, diagnostics: &[Diagnostic]) {
    let spans = diagnostics.iter().flat_map(|diagnostic| {
        let related = diagnostic.related.as_ref().map(|(span, _)| span);
        diagnostic.span.as_ref().into_iter().chain(related)
    });
    for span in spans {
        let text = &sources.get(span.source).text;
        assert!(
            text.get(span.bytes.clone()).is_some(),
            "{span:?} of {text:?}"
        );
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 60, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn a_table_of_anything(manual in any_text(), readings in any_text()) {
        let mut sources = Sources::default();
        let netlist = "ground g\nR1: 1k, plate1 to g\nR2: 1k, plate1 to g\n";
        let parts = JobSources {
            folder: String::new(),
            settings: None,
            netlist: Some(sources.add("circuit.netlist", netlist)),
            meters: None,
            manual: Some(sources.add("manual.csv", &format!("point,at,value{manual}"))),
            readings: vec![
                sources.add("a.csv", &format!("point,reading,at,{readings}")),
                sources.add("b.csv", &readings),
            ],
            ..JobSources::default()
        };
        let read = read_job(&sources, &parts, &[]);
        check(&sources, &read.diagnostics);
        prop_assert_eq!(read.job.is_none(), read.diagnostics.iter().any(Diagnostic::is_error));
    }

    #[test]
    fn settings_and_meters_of_anything(settings in any_text(), meters in any_text()) {
        let mut sources = Sources::default();
        let parts = JobSources {
            folder: String::new(),
            settings: Some(sources.add("job.toml", &settings)),
            netlist: None,
            meters: Some(sources.add("meters.toml", &format!("[m]\n{meters}"))),
            manual: Some(sources.add("manual.csv", "point,value,source\n1,2,3\n")),
            ..JobSources::default()
        };
        let (_, diagnostics) = read_settings(&sources, sources_first());
        check(&sources, &diagnostics);
        check(&sources, &read_job(&sources, &parts, &[]).diagnostics);
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 60, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn charts_of_anything(volts in any_text(), ohms in any_text()) {
        let mut sources = Sources::default();
        let netlist = "ground g\nR1: 1k, plate1 to g\nR2: 1k, plate1 to g\n";
        let parts = JobSources {
            netlist: Some(sources.add("circuit.netlist", netlist)),
            pin_chart: Some(sources.add("pin-chart.csv", &format!("tube,1,2\nV1,{volts}"))),
            pin_chart_ohms: Some(sources.add("pin-chart-ohms.csv", &ohms)),
            ..JobSources::default()
        };
        let read = read_job(&sources, &parts, &[]);
        check(&sources, &read.diagnostics);
        prop_assert_eq!(read.job.is_none(), read.diagnostics.iter().any(Diagnostic::is_error));
    }

    #[test]
    fn devices_of_anything(devices in any_text(), point in any_text()) {
        let mut sources = Sources::default();
        let first = sources.add("a.toml", &format!("[x]\nclass = \"triode\"\n{devices}"));
        let text = "[x]\nclass = \"triode\"\npins = [\"plate\", \"grid\", \"cathode\"]\n";
        let second = sources.add("b.toml", &format!("{text}[[x.point]]\n{point}"));
        for id in [first, second] {
            let read = read_devices(&sources, id);
            check(&sources, &read.diagnostics);
            let errors = read.diagnostics.iter().any(Diagnostic::is_error);
            prop_assert!(errors || read.stand_ins.is_empty());
        }
    }
}

fn sources_first() -> input::SourceId {
    input::SourceId(0)
}
