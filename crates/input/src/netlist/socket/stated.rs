//! A device whose type or connections are faulty: the terminals that its line names.
//!
//! It has no units; an error stands beside it. Other files can still name its terminals.

use circuit::{Device, DeviceClass, PartKind, Terminal};

use crate::netlist::connections::{is_node_name, Connection, Connections};

/// The device as stated, with a terminal for every node that can be one, in the order of the line.
pub(in crate::netlist) fn as_stated(
    name: &str,
    class: DeviceClass,
    connections: &Connections<'_>,
) -> PartKind {
    let terminal = |name: &str| Terminal {
        name: name.to_owned(),
        pins: name.parse().ok().into_iter().collect(),
    };
    let mut terminals = Vec::new();
    for connection in &connections.list {
        let names: Vec<&str> = match connection {
            Connection::Terminal { name, .. } => vec![name.text],
            Connection::Ends { .. } => vec!["first", "second"],
        };
        let both = names.into_iter().zip(connection.nodes());
        terminals.extend(
            both.filter(|(_, node)| is_node_name(node.text))
                .map(|(name, _)| terminal(name)),
        );
    }
    PartKind::Device(Device {
        type_name: name.to_owned(),
        class,
        terminals,
        units: Vec::new(),
        tolerance: None,
    })
}
