//! The table of contents that a reader program shows beside the pages.
//!
//! What it owns: the nesting of headings. What comes in: laid-out pages. What goes out: the tree that the
//! file format wants. Not known here: how headings look.

use krilla::destination::XyzDestination;
use krilla::geom::Point;
use krilla::outline::{Outline, OutlineNode};

use crate::document::PageSize;
use crate::layout::Page;

/// Headings as a tree. A level that is skipped hangs below the last higher one.
pub(crate) fn outline(pages: &[Page], size: PageSize) -> Outline {
    let mut outline = Outline::new();
    let mut open: Vec<(u8, OutlineNode)> = Vec::new();
    for (number, page) in pages.iter().enumerate() {
        for mark in &page.bookmarks {
            close(&mut open, &mut outline, mark.level);
            let place = Point::from_xy(size.text_left() as f32, mark.y as f32);
            open.push((
                mark.level,
                OutlineNode::new(mark.text.clone(), XyzDestination::new(number, place)),
            ));
        }
    }
    close(&mut open, &mut outline, 0);
    outline
}

/// Hangs every open heading of this level or a lower rank onto its parent.
fn close(open: &mut Vec<(u8, OutlineNode)>, outline: &mut Outline, level: u8) {
    while open.last().is_some_and(|(last, _)| *last >= level) {
        let Some((_, node)) = open.pop() else {
            return;
        };
        match open.last_mut() {
            Some((_, parent)) => parent.push_child(node),
            None => outline.push_child(node),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::layout::Bookmark;

    #[test]
    fn every_heading_is_closed_in_the_end() {
        let mark = |level: u8, text: &str| Bookmark {
            level,
            text: text.into(),
            y: 100.0,
        };
        let page = Page {
            bookmarks: vec![mark(1, "A"), mark(3, "A.a"), mark(2, "A.b"), mark(1, "B")],
            ..Page::default()
        };
        let mut open = Vec::new();
        let mut tree = Outline::new();
        for bookmark in &page.bookmarks {
            close(&mut open, &mut tree, bookmark.level);
            let place = XyzDestination::new(0, Point::from_xy(0.0, 0.0));
            open.push((
                bookmark.level,
                OutlineNode::new(bookmark.text.clone(), place),
            ));
        }
        assert_eq!(open.len(), 1);
        close(&mut open, &mut tree, 0);
        assert!(open.is_empty());
    }
}
