//! Page breaks.
//!
//! What it owns: on which page and how far down each strip stands. What comes in: strips and the room on a
//! page. What goes out: for each page the strips and their places. Not known here: what they hold.

use super::strip::Strip;

/// A strip and the place of its upper edge, in points below the upper edge of the paper.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Placed<'a> {
    pub y: f64,
    pub strip: &'a Strip,
    /// Whether it only repeats what stands on a page before.
    pub again: bool,
}

/// Float sums of a page of strips stay below this many points of error.
const SLACK: f64 = 1e-6;

#[derive(Default)]
struct FlowPage<'a> {
    placed: Vec<Placed<'a>>,
    y: f64,
    /// Whether a strip of its own stands on it; repeated headings alone do not count.
    begun: bool,
}

struct Flow<'a> {
    sheets: Vec<FlowPage<'a>>,
    top: f64,
    bottom: f64,
}

/// Places the strips between `top` and `bottom`. Strips that keep together move to the next page as one; if
/// even an empty page is too short for all of them, they break where they must.
pub(crate) fn paginate(strips: &[Strip], top: f64, bottom: f64) -> Vec<Vec<Placed<'_>>> {
    let mut flow = Flow {
        sheets: Vec::new(),
        top,
        bottom,
    };
    flow.begin();
    let mut rest = strips;
    while !rest.is_empty() {
        let end = rest
            .iter()
            .position(|strip| !strip.keep)
            .map_or(rest.len(), |n| n + 1);
        let (all, others) = rest.split_at(end);
        rest = others;
        let all: Vec<&Strip> = all.iter().collect();
        let turns = all.iter().any(|strip| strip.new_page);
        let chain = flow
            .without_spare(&all)
            .filter(|_| !turns)
            .unwrap_or_else(|| {
                flow.turn();
                all
            });
        for (n, strip) in chain.iter().enumerate() {
            // A heading is not left behind even where its chain has to break.
            let needed = n + if strip.keep { 2 } else { 1 };
            if !flow.fits(&chain[n..needed.min(chain.len())]) {
                flow.turn();
            }
            flow.set(strip);
        }
    }
    flow.sheets.into_iter().map(|sheet| sheet.placed).collect()
}

impl<'a> Flow<'a> {
    fn last(&self) -> (f64, bool) {
        self.sheets
            .last()
            .map_or((self.top, false), |sheet| (sheet.y, sheet.begun))
    }

    /// The chain, without as many spare strips at its end as do not fit on this page; none if even then
    /// it does not fit.
    fn without_spare(&self, chain: &[&'a Strip]) -> Option<Vec<&'a Strip>> {
        let mut kept = chain.to_vec();
        while !self.fits(&kept) {
            let last = kept.iter().rposition(|strip| strip.spare)?;
            kept.remove(last);
        }
        Some(kept)
    }

    fn fits(&self, chain: &[&Strip]) -> bool {
        let (y, begun) = self.last();
        let mut height: f64 = chain.iter().map(|strip| strip.space + strip.height).sum();
        if let Some(first) = chain.first().filter(|_| !begun) {
            let repeated = first.repeat.iter().flat_map(|strips| strips.iter());
            height -= first.space;
            height += repeated.map(|strip| strip.height).sum::<f64>();
        }
        y + height <= self.bottom + SLACK
    }

    fn begin(&mut self) {
        self.sheets.push(FlowPage {
            y: self.top,
            ..FlowPage::default()
        });
    }

    /// Turns to a new page, unless this one is still empty.
    fn turn(&mut self) {
        if self.last().1 {
            self.begin();
        }
    }

    fn set(&mut self, strip: &'a Strip) {
        let first_page = self.sheets.len() == 1;
        let Some(sheet) = self.sheets.last_mut() else {
            return;
        };
        if sheet.begun {
            sheet.y += strip.space;
        } else if let Some(repeat) = strip.repeat.as_deref().filter(|_| !first_page) {
            for again in repeat {
                sheet.placed.push(Placed {
                    y: sheet.y,
                    strip: again,
                    again: true,
                });
                sheet.y += again.height;
            }
        }
        let y = sheet.y;
        sheet.placed.push(Placed {
            y,
            strip,
            again: false,
        });
        sheet.y += strip.height;
        sheet.begun = true;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::rc::Rc;

    fn strip(height: f64, keep: bool) -> Strip {
        Strip {
            height,
            keep,
            ..Strip::default()
        }
    }

    fn counts(sheets: &[Vec<Placed<'_>>]) -> Vec<usize> {
        sheets.iter().map(Vec::len).collect()
    }

    #[test]
    fn strips_fill_pages_in_order() {
        let strips = vec![strip(30.0, false); 7];
        assert_eq!(counts(&paginate(&strips, 10.0, 100.0)), [3, 3, 1]);
    }

    #[test]
    fn a_heading_moves_with_what_follows_it() {
        let strips = [strip(70.0, false), strip(10.0, true), strip(20.0, false)];
        assert_eq!(counts(&paginate(&strips, 0.0, 90.0)), [1, 2]);
    }

    #[test]
    fn spare_strips_are_left_out_where_that_saves_a_page() {
        let spare = Strip {
            spare: true,
            ..strip(20.0, true)
        };
        let chain = [strip(20.0, true), spare.clone(), spare, strip(20.0, false)];
        let behind = |height: f64| {
            let strips = [vec![strip(height, false)], chain.to_vec()].concat();
            counts(&paginate(&strips, 0.0, 100.0))
        };
        // All, one less, none left to spare: then all go to the next page.
        assert_eq!(behind(20.0), [5]);
        assert_eq!(behind(40.0), [4]);
        assert_eq!(behind(60.0), [3]);
        assert_eq!(behind(61.0), [1, 4]);
    }

    #[test]
    fn a_chain_longer_than_a_page_breaks_all_the_same() {
        let strips: Vec<Strip> = (0..10).map(|n| strip(30.0, n < 9)).collect();
        let sheets = paginate(&strips, 0.0, 100.0);
        assert_eq!(counts(&sheets).iter().sum::<usize>(), 10);
        for Placed { y, strip, .. } in sheets.iter().flatten() {
            assert!(y + strip.height <= 100.0 + SLACK);
        }
    }

    #[test]
    fn what_repeats_is_set_at_the_top_of_a_later_page() {
        let head = Rc::new(vec![strip(10.0, false)]);
        let strips: Vec<Strip> = (0..5)
            .map(|_| Strip {
                repeat: Some(Rc::clone(&head)),
                ..strip(30.0, false)
            })
            .collect();
        let sheets = paginate(&strips, 0.0, 100.0);
        // Three rows, then a heading and the two others.
        assert_eq!(counts(&sheets), [3, 3]);
        assert!((sheets[1][1].y - 10.0).abs() <= SLACK);
    }

    #[test]
    fn a_strip_higher_than_the_page_stands_alone() {
        let strips = [strip(10.0, false), strip(500.0, false), strip(10.0, false)];
        assert_eq!(counts(&paginate(&strips, 0.0, 100.0)), [1, 1, 1]);
    }

    #[test]
    fn space_is_dropped_at_the_top_of_a_page() {
        let strips = [
            Strip {
                space: 9.0,
                ..strip(10.0, false)
            },
            Strip {
                new_page: true,
                space: 9.0,
                ..strip(10.0, false)
            },
        ];
        let sheets = paginate(&strips, 5.0, 100.0);
        assert_eq!(counts(&sheets), [1, 1]);
        assert!(sheets.iter().all(|sheet| (sheet[0].y - 5.0).abs() <= SLACK));
    }
}
