//! The text with its tree and its pieces, and the way down a path.

use super::super::span::Span;
use super::super::tree::{self, Kind, Node};
use super::pieces::{Piece, pieces};
use super::refused::{EditRefused, no_part, shared, unsuited};
use super::scalar::Ground;
use super::value::{Step, key_text};

/// A stretch between two borders: its first byte, one past its last, and the border after it.
type Stretch = (usize, usize, usize);

/// A text that can be changed.
pub(super) struct Sheet<'t> {
    pub text: &'t str,
    pub root: Node<'t>,
    /// How its lines end.
    pub newline: &'static str,
    pieces: Vec<(Piece, Span)>,
}

/// An item of a list or an entry of a mapping, with what belongs to it in the text.
#[derive(Debug, Clone)]
pub(super) struct Child<'n, 't> {
    pub key: Option<&'n Node<'t>>,
    pub node: &'n Node<'t>,
    /// Where it starts: its dash, its key, or its value in a flow list.
    pub head: usize,
    /// End of its last byte that is no comment.
    pub end: usize,
    /// Where the next one, or what follows the container, starts.
    pub limit: usize,
}

/// A container or value that a path leads to.
#[derive(Debug, Clone, Copy)]
pub(super) struct Spot<'n, 't> {
    pub node: &'n Node<'t>,
    /// How it is written if it is a container; where it stands if it is a single value.
    pub ground: Ground,
    pub limit: usize,
}

/// One container on the way and which of its children is taken.
pub(super) struct Level<'n, 't> {
    pub spot: Spot<'n, 't>,
    pub children: Vec<Child<'n, 't>>,
    pub taken: usize,
}

/// The way down a path, as far as it exists.
pub(super) struct Way<'n, 't> {
    pub levels: Vec<Level<'n, 't>>,
    /// What stands where the way ends.
    pub last: Spot<'n, 't>,
}

impl<'t> Sheet<'t> {
    /// Reads a text; one that is not YAML cannot be changed.
    pub fn read(text: &'t str) -> Result<Sheet<'t>, EditRefused> {
        let root = tree::parse(text).map_err(|found| {
            EditRefused::new(format!(
                "the text cannot be changed while it cannot be read: {}",
                found.title
            ))
            .hint("put it right in the text first")
        })?;
        let newline = match text.find('\n') {
            Some(i) if i > 0 && text.as_bytes()[i - 1] == b'\r' => "\r\n",
            _ => "\n",
        };
        let pieces = pieces(text, &root);
        Ok(Sheet {
            text,
            root,
            newline,
            pieces,
        })
    }

    pub fn top(&self) -> Spot<'_, 't> {
        Spot {
            node: &self.root,
            ground: self.ground_in(&self.root, Ground::Block),
            limit: self.text.len(),
        }
    }

    /// The ground of a node that stands on some ground.
    fn ground_in(&self, node: &Node<'_>, around: Ground) -> Ground {
        let is_open = matches!(node.kind, Kind::List(_) | Kind::Mapping(_))
            && matches!(self.text.as_bytes().get(node.at.start), Some(b'[' | b'{'));
        if is_open { Ground::Flow } else { around }
    }

    /// What a child is, as a place of its own.
    pub fn spot_of<'n>(&self, child: &Child<'n, 't>, around: Ground) -> Spot<'n, 't> {
        Spot {
            node: child.node,
            ground: self.ground_in(child.node, around),
            limit: child.limit,
        }
    }

    /// Goes down a path as far as it exists; anchors, aliases and merges on the way are refused.
    pub fn follow<'n>(&'n self, path: &[Step]) -> Result<Way<'n, 't>, EditRefused> {
        let mut way = Way {
            levels: Vec::new(),
            last: self.top(),
        };
        for (depth, step) in path.iter().enumerate() {
            let spot = way.last;
            let taken = match (&spot.node.kind, step) {
                (Kind::Mapping(entries), Step::Key(key)) => {
                    if entries
                        .iter()
                        .any(|(own, _)| own.scalar(self.text) == Some("<<"))
                    {
                        return Err(shared());
                    }
                    entries
                        .iter()
                        .position(|(own, _)| key_text(own, self.text) == *key)
                }
                (Kind::List(items), Step::Item(i)) => (*i < items.len()).then_some(*i),
                (Kind::Nothing, _) => None,
                _ => return Err(no_part(&path[..depth])),
            };
            let Some(taken) = taken else { break };
            let children = self.children(spot)?;
            let child = &children[taken];
            if self.is_shared(child) {
                return Err(shared());
            }
            way.last = self.spot_of(child, spot.ground);
            way.levels.push(Level {
                spot,
                children,
                taken,
            });
        }
        Ok(way)
    }

    /// Whether the value of a child itself is an alias or carries an anchor or a tag.
    fn is_shared(&self, child: &Child<'_, 't>) -> bool {
        let from = child.key.map_or(child.head, |key| key.at.end);
        self.pieces_in(from, child.end)
            .iter()
            .find(|(piece, _)| !matches!(piece, Piece::Colon | Piece::Dash | Piece::Comment))
            .is_some_and(|(piece, _)| *piece == Piece::Shared)
    }

    /// The pieces that start in a stretch.
    pub fn pieces_in(&self, from: usize, to: usize) -> &[(Piece, Span)] {
        let first = self.pieces.partition_point(|(_, at)| at.start < from);
        let last = self.pieces.partition_point(|(_, at)| at.start < to);
        &self.pieces[first..last.max(first)]
    }

    /// Whether a stretch holds a kind of piece.
    pub fn holds(&self, from: usize, to: usize, kind: Piece) -> bool {
        self.pieces_in(from, to)
            .iter()
            .any(|(piece, _)| *piece == kind)
    }

    /// The children of a container with their places.
    pub fn children<'n>(&self, spot: Spot<'n, 't>) -> Result<Vec<Child<'n, 't>>, EditRefused> {
        let nodes: Vec<(Option<&'n Node<'t>>, &'n Node<'t>)> = match &spot.node.kind {
            Kind::List(items) => items.iter().map(|item| (None, item)).collect(),
            Kind::Mapping(entries) => entries
                .iter()
                .map(|(key, value)| (Some(key), value))
                .collect(),
            _ => Vec::new(),
        };
        let stretches = match (spot.ground, &spot.node.kind) {
            (Ground::Flow, _) => self.flow_stretches(spot.node.at.start)?.0,
            (Ground::Block, Kind::List(_)) => {
                let first = self.first_dash(spot.node.at.start);
                let column = self.column(first);
                let heads: Vec<usize> = self
                    .pieces_in(first, spot.limit)
                    .iter()
                    .filter(|(piece, at)| *piece == Piece::Dash && self.column(at.start) == column)
                    .map(|(_, at)| at.start)
                    .collect();
                self.block_stretches(heads, spot.limit)
            }
            (Ground::Block, _) => {
                let heads: Vec<usize> = nodes
                    .iter()
                    .filter_map(|(key, _)| Some(key.as_ref()?.at.start))
                    .collect();
                self.block_stretches(heads, spot.limit)
            }
        };
        if stretches.len() != nodes.len() || stretches.windows(2).any(|pair| pair[1].0 < pair[0].1)
        {
            return Err(
                if self.holds(spot.node.at.start, spot.limit, Piece::Shared) {
                    shared()
                } else {
                    unsuited()
                },
            );
        }
        let children = nodes.into_iter().zip(stretches);
        Ok(children
            .map(|((key, node), (head, end, limit))| Child {
                key,
                node,
                head,
                end,
                limit,
            })
            .collect())
    }

    /// The first dash of a list: where it starts, or just before, for a list in the column of its key.
    fn first_dash(&self, start: usize) -> usize {
        let known = self.pieces.partition_point(|(_, at)| at.start < start);
        match (
            self.pieces.get(known),
            known.checked_sub(1).map(|i| self.pieces[i]),
        ) {
            (Some((Piece::Dash, at)), _) if at.start == start => start,
            (_, Some((Piece::Dash, at))) => at.start,
            _ => start,
        }
    }

    fn block_stretches(&self, heads: Vec<usize>, limit: usize) -> Vec<Stretch> {
        let next = heads.iter().skip(1).copied().chain(std::iter::once(limit));
        heads
            .iter()
            .zip(next)
            .map(|(&head, limit)| {
                let own = self.pieces_in(head, limit).iter();
                let last = own
                    .rev()
                    .find(|(piece, _)| !matches!(piece, Piece::Comment | Piece::Marker));
                (head, last.map_or(head, |(_, at)| at.end), limit)
            })
            .collect()
    }

    /// The stretches between the commas of a bracket that opens at a place, and the place of its closing.
    pub fn flow_stretches(&self, open: usize) -> Result<(Vec<Stretch>, usize), EditRefused> {
        let mut found: Vec<Stretch> = Vec::new();
        let mut own: Option<(usize, usize)> = None;
        let mut depth = 0;
        for (piece, at) in self.pieces_in(open, self.text.len()) {
            match piece {
                Piece::Comment => continue,
                Piece::Open => depth += 1,
                Piece::Close => depth -= 1,
                _ => {}
            }
            let is_border = depth == 0 || depth == 1 && *piece == Piece::Comma;
            if is_border {
                found.extend(own.take().map(|(head, end)| (head, end, at.start)));
            }
            if depth == 0 {
                return if *piece == Piece::Close {
                    Ok((found, at.start))
                } else {
                    Err(unsuited())
                };
            }
            if !is_border && at.start != open {
                own = Some((own.map_or(at.start, |(head, _)| head), at.end));
            }
        }
        Err(unsuited())
    }

    /// First byte of the line that holds a place; a byte order mark belongs to no line.
    pub fn line_start(&self, at: usize) -> usize {
        let start = self.text[..at].rfind('\n').map_or(0, |i| i + 1);
        if start == 0 && self.text.starts_with('\u{feff}') {
            '\u{feff}'.len_utf8().min(at)
        } else {
            start
        }
    }

    /// One past the line end of the line that holds a place.
    pub fn next_line(&self, at: usize) -> usize {
        self.text[at..]
            .find('\n')
            .map_or(self.text.len(), |i| at + i + 1)
    }

    /// How far from the start of its line a place is, in bytes.
    pub fn column(&self, at: usize) -> usize {
        at - self.line_start(at)
    }

    /// Whether only blanks stand before a place on its line.
    pub fn starts_line(&self, at: usize) -> bool {
        self.text[self.line_start(at)..at].trim().is_empty()
    }

    /// One past the line on which something ends, if at most a comment follows it there.
    pub fn past_line_of(&self, end: usize) -> Result<usize, EditRefused> {
        let next = self.next_line(end);
        let clear = self
            .pieces_in(end, next)
            .iter()
            .all(|(piece, _)| *piece == Piece::Comment);
        if clear { Ok(next) } else { Err(unsuited()) }
    }

    /// Past the comment lines that follow a place and lie deeper than a column: they belong to what ends there.
    pub fn past_comments(&self, from: usize, column: usize) -> usize {
        let mut best = from;
        let mut at = from;
        while at < self.text.len() {
            let next = self.next_line(at);
            let line = &self.text[at..next];
            let body = line.trim_start_matches(' ');
            if body.starts_with('#') && line.len() - body.len() > column {
                best = next;
            } else if !body.trim().is_empty() {
                break;
            }
            at = next;
        }
        best
    }
}
