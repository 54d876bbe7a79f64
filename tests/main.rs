//! The whole of fairvolt, from the command line inwards. See README.md beside this file.

#![expect(clippy::unwrap_used, reason = "a test stops at the first surprise")]

mod as_typed; // cells and part lines as people type them
mod belief; // doubted values and unnamed meters, in every command
mod browser; // the HTML as a browser reads it
mod cli; // starts the real program: streams, exit statuses, a closed pipe
mod commands; // each command in-process: what it writes, refuses, leaves alone
mod couplers_and_grids; // large couplers, grids that nothing holds, limits on both sides of zero
mod dead_sets; // heaters in series, plug or batteries out
mod derivatives; // derivatives of translated values against whole translations
mod devices; // the list of devices, the page of each, its document
mod diagnostics_page; // docs/diagnostics.md shows what check prints
mod files_page; // docs/files.md: its example jobs are read without a word
mod first_time; // what a first-time user types, and what is answered
mod formats; // every format of every command is made; no control sign reaches one
mod hunts; // a fault hunted from the first readings to the repair
mod internal_names; // nodes that are added to a drawing are never named
mod layering; // crates import only what DEVELOPERS.md says, and a reading passes no more files
mod less_common_sets; // batteries, dry rectifiers, pointer meters
mod lines_and_regulators; // AVC lines, regulated supplies, starved stages with a fault in them
mod names_in_docs; // files, options and words that the docs name exist
mod old_sets; // jobs as typed: field coil, printed limits, oscillators, words
mod oscillators; // triodes that oscillate, triode-heptodes
mod part_faults; // faults of semiconductors, regulators, rectifiers and relays in small sets
mod parts_out; // readings with a lead lifted, a tube pulled or replaced
mod pictures; // curve, --format svg, the pictures kept in docs/pictures
mod published; // every row of every published case
mod quantities; // ohms, currents, alternating volts: next measurements, columns, sockets
mod readings_by_place; // labels that are places of the drawing
mod readme; // every command, output and figure of the README
mod reconciled_page; // docs/reconciled.md and the figures of the README
mod refusals; // what is refused for the circuit's sake: reason, place, hint, no number
mod samples; // every job in sample-data
mod set_kinds; // tuners, sweeps, mobile sets, charts of ohms
mod sockets; // sockets from below: pins, verdicts, pages, refusals
mod stated_tolerances; // what the netlist states of a part is what the uncertainty rests on
mod states_and_settings; // states that a drawing lacks, supplies and controls as they stand
mod support;
mod suspects; // what may be wrong, where to probe next, --explain PART
mod switched_sets; // switches with throws, jacks, relays, halves lettered otherwise
mod test_gear; // high volts behind a probe, heaters by a bridge, repairs half done
mod together; // manual and drawing weighed on small jobs
mod transistor_sets; // faults of transistor stages, a range that explains all doubted values
mod two_states; // a flip-flop: which of its states is taken
mod typed_slips; // what check names of a netlist with a slip
mod uncertainty; // expanded uncertainty, verdicts, --explain, --trials
mod unseen_sets; // kinds of set that no sample has, by specimens of another program
mod worksheet; // HTML and PDF, many sets, the chart for the manual
mod worksheet_readings; // readings on the sheet: as found and as left, by meter and by set
mod worksheet_rows; // rows of the sheet: places with several names, page one
