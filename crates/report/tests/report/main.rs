//! Finished texts of small jobs: their width, their escaping, their JSON, and a few pinned whole.

#[cfg(test)]
mod escaping;
#[cfg(test)]
mod fixtures;
#[cfg(test)]
mod golden;
#[cfg(test)]
mod manual;
#[cfg(test)]
mod pictures;
#[cfg(test)]
mod schemas;
#[cfg(test)]
mod widths;
#[cfg(test)]
mod words;
