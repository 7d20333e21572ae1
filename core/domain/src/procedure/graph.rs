//! The order of steps as a graph: circles in it, what may be done now, and the place of a step.

use std::collections::{HashMap, HashSet};

use serde::{Deserialize, Serialize};

use super::StepInstance;

/// An order in which every node comes after the nodes that it waits for; nodes that wait in a
/// circle, or for a circle, are left out. `edges[i]` holds what node `i` waits for; indices out
/// of range are ignored.
pub(super) fn order(edges: &[Vec<usize>]) -> Vec<usize> {
    let mut waiting: Vec<usize> = vec![0; edges.len()];
    let mut followers: Vec<Vec<usize>> = vec![Vec::new(); edges.len()];
    for (node, before) in edges.iter().enumerate() {
        for &earlier in before {
            if let Some(list) = followers.get_mut(earlier) {
                list.push(node);
                if let Some(count) = waiting.get_mut(node) {
                    *count += 1;
                }
            }
        }
    }
    let mut order: Vec<usize> = (0..edges.len())
        .filter(|node| waiting.get(*node) == Some(&0))
        .collect();
    let mut at = 0;
    while let Some(&node) = order.get(at) {
        at += 1;
        for &follower in followers.get(node).map_or(&[][..], Vec::as_slice) {
            if let Some(count) = waiting.get_mut(follower) {
                *count -= 1;
                if *count == 0 {
                    order.push(follower);
                }
            }
        }
    }
    order
}

/// Circles that share no node, each in the order of waiting: every node waits for the next, the
/// last for the first. Each begins with its node of the lowest index. Empty if there is none.
pub(super) fn circles(edges: &[Vec<usize>]) -> Vec<Vec<usize>> {
    let mut left = edges.to_vec();
    let mut circles = Vec::new();
    loop {
        let sorted: HashSet<usize> = order(&left).into_iter().collect();
        let Some(start) = (0..left.len()).find(|node| !sorted.contains(node)) else {
            return circles;
        };
        // Every node that could not be sorted waits for at least one other such node, so
        // following one of them has to come back to a node already on the path.
        let mut path: Vec<usize> = Vec::new();
        let mut place: HashMap<usize, usize> = HashMap::new();
        let mut node = start;
        let circle = loop {
            if let Some(&first) = place.get(&node) {
                break path.split_off(first);
            }
            place.insert(node, path.len());
            path.push(node);
            let onward = left
                .get(node)
                .and_then(|before| before.iter().find(|earlier| !sorted.contains(earlier)));
            match onward {
                Some(&earlier) if earlier < left.len() => node = earlier,
                _ => break Vec::new(),
            }
        };
        if circle.is_empty() {
            return circles;
        }
        for &node in &circle {
            if let Some(before) = left.get_mut(node) {
                before.clear();
            }
        }
        let lowest = circle.iter().enumerate().min_by_key(|(_, node)| **node);
        let turn = lowest.map_or(0, |(index, _)| index);
        let mut circle = circle;
        circle.rotate_left(turn);
        circles.push(circle);
    }
}

/// The same order with the fewest edges: an edge goes if another path leads the same way. Nodes
/// in a circle keep theirs.
pub(super) fn reduce(edges: &[Vec<usize>]) -> Vec<Vec<usize>> {
    let words = edges.len().div_ceil(64);
    // Everything that comes before a node, as bits; known once the node's turn has come.
    let mut ancestors: Vec<Vec<u64>> = vec![Vec::new(); edges.len()];
    let has = |bits: &[u64], node: usize| {
        bits.get(node / 64)
            .is_some_and(|word| word >> (node % 64) & 1 == 1)
    };
    let mut reduced = edges.to_vec();
    for node in order(edges) {
        let Some(before) = edges.get(node) else {
            continue;
        };
        let mut beyond = vec![0_u64; words];
        for &earlier in before {
            for (word, more) in beyond
                .iter_mut()
                .zip(ancestors.get(earlier).into_iter().flatten())
            {
                *word |= more;
            }
        }
        if let Some(list) = reduced.get_mut(node) {
            list.retain(|earlier| !has(&beyond, *earlier));
        }
        for &earlier in before {
            if let Some(word) = beyond.get_mut(earlier / 64) {
                *word |= 1 << (earlier % 64);
            }
        }
        if let Some(slot) = ancestors.get_mut(node) {
            *slot = beyond;
        }
    }
    reduced
}

/// The instances that may be done now, as indices in their order: not done, and everything that
/// comes before them done, directly and by way of others. So when a step's evidence is taken
/// away (an enclosure was opened), nothing that rests on it is offered until it is there again,
/// even if a step between them still counts as done.
///
/// `done` holds instance keys; a step that was skipped with a reason counts as done. A key in
/// `after` that names no instance of the list is looked for in `done` only.
#[must_use]
pub fn available(instances: &[StepInstance], done: &HashSet<&str>) -> Vec<usize> {
    let by_key: HashMap<&str, usize> = instances
        .iter()
        .enumerate()
        .map(|(index, instance)| (instance.key.as_str(), index))
        .collect();
    let edges: Vec<Vec<usize>> = instances
        .iter()
        .map(|instance| {
            instance
                .after
                .iter()
                .filter_map(|key| by_key.get(key.as_str()).copied())
                .collect()
        })
        .collect();
    let mut free = vec![false; instances.len()];
    for index in order(&edges) {
        let Some(instance) = instances.get(index) else {
            continue;
        };
        let met = instance.after.iter().all(|key| {
            done.contains(key.as_str())
                && by_key
                    .get(key.as_str())
                    .is_none_or(|earlier| free.get(*earlier).copied().unwrap_or(false))
        });
        if let Some(slot) = free.get_mut(index) {
            *slot = met;
        }
    }
    instances
        .iter()
        .zip(&free)
        .enumerate()
        .filter(|(_, (instance, free))| **free && !done.contains(instance.key.as_str()))
        .map(|(index, _)| index)
        .collect()
}

/// The first instance that may be done now; none when everything is done.
#[must_use]
pub fn next(instances: &[StepInstance], done: &HashSet<&str>) -> Option<usize> {
    available(instances, done).first().copied()
}

/// Where a step stands in its section: 'Camera, 2 of 5'.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Place {
    /// Name of the section.
    pub section: String,
    /// Position within the section, the first is 1.
    pub position: u32,
    /// Number of instances in the section.
    pub of: u32,
}

/// The place of the instance at `index`; none when there is no such instance.
#[must_use]
pub fn place(instances: &[StepInstance], index: usize) -> Option<Place> {
    let section = &instances.get(index)?.step.section;
    let count = |end: usize| {
        let within = instances.iter().take(end);
        let count = within
            .filter(|other| &other.step.section == section)
            .count();
        u32::try_from(count).unwrap_or(u32::MAX)
    };
    Some(Place {
        section: section.clone(),
        position: count(index + 1),
        of: count(instances.len()),
    })
}
