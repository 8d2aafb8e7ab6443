//! The tree of a YAML text, every node with its place. This module and `syntax` alone know the parser.

use std::borrow::Cow;
use std::collections::HashMap;

use granit_parser::{Event, Parser, ScalarStyle, StructureStyle};

use super::Limits;
use super::document::Kind;
use super::syntax::syntax;
use crate::source::{FileId, Problem, Problems, Span};

/// Index of a node in its [`Tree`].
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub(super) struct Id(u32);

/// What a node is.
#[derive(Debug)]
pub(super) enum Node<'s> {
    /// Text as written, escapes undone; never retyped.
    Scalar {
        /// The text.
        text: Cow<'s, str>,
        /// Without quotes.
        plain: bool,
    },
    /// A list.
    List(Vec<Id>),
    /// Keys and values in the order written.
    Map {
        /// The entries.
        entries: Vec<(Id, Id)>,
        /// Between braces.
        flow: bool,
    },
    /// A repetition of another node.
    Alias(Id),
}

/// The nodes of one text.
#[derive(Debug)]
pub(super) struct Tree<'s> {
    source: &'s str,
    file: FileId,
    nodes: Vec<(Node<'s>, u32, u32)>,
    root: Id,
}

impl<'s> Tree<'s> {
    /// The whole document.
    pub fn root(&self) -> Id {
        self.root
    }

    /// The text it is in.
    pub fn file(&self) -> FileId {
        self.file
    }

    /// A node; of an alias, what it repeats.
    pub fn node(&self, id: Id) -> &Node<'s> {
        match &self.nodes[id.0 as usize].0 {
            // An alias points at a node that was finished before it, so this ends.
            Node::Alias(target) => self.node(*target),
            node => node,
        }
    }

    /// The place of a node, without the white space that follows it; of an alias, where the repeated node stands.
    pub fn at(&self, id: Id) -> Span {
        let (node, start, end) = &self.nodes[id.0 as usize];
        if let Node::Alias(target) = node {
            return self.at(*target);
        }
        let words = self.slice(*start, *end);
        Span::new(self.file, *start, start + words.trim_end().len() as u32)
    }

    /// The node itself; of an alias, the one that it repeats.
    pub fn resolve(&self, id: Id) -> Id {
        match &self.nodes[id.0 as usize].0 {
            Node::Alias(target) => self.resolve(*target),
            _ => id,
        }
    }

    /// Whether it repeats another node.
    pub fn is_alias(&self, id: Id) -> bool {
        matches!(self.nodes[id.0 as usize].0, Node::Alias(_))
    }

    /// Where it is written, up to its last character; of an alias, the alias itself.
    pub fn written(&self, id: Id) -> Span {
        let (node, start, end) = &self.nodes[id.0 as usize];
        let end = match node {
            Node::List(items) if !self.in_brackets(id) => items.last().map(|&item| self.end(item)),
            Node::Map {
                entries,
                flow: false,
            } => entries
                .last()
                .map(|&(key, value)| self.end(value).max(self.end(key))),
            _ => None,
        }
        .unwrap_or_else(|| start + self.slice(*start, *end).trim_end().len() as u32);
        Span::new(self.file, *start, end)
    }

    fn end(&self, id: Id) -> u32 {
        self.written(id).end
    }

    /// Whether it is a list or map between brackets or braces.
    pub fn in_brackets(&self, id: Id) -> bool {
        let (node, start, _) = &self.nodes[id.0 as usize];
        match node {
            Node::Map { flow, .. } => *flow,
            Node::List(_) => self.slice(*start, start + 1) == "[",
            _ => false,
        }
    }

    /// Repetitions: where each is written, and the node that it repeats.
    pub fn aliases(&self) -> impl Iterator<Item = (Span, Id)> {
        self.nodes
            .iter()
            .filter_map(|(node, start, end)| match node {
                Node::Alias(target) => Some((Span::new(self.file, *start, *end), *target)),
                _ => None,
            })
    }

    /// The text of a scalar and its place.
    pub fn scalar(&self, id: Id) -> Option<(&str, Span)> {
        match self.node(id) {
            Node::Scalar { text, .. } => Some((text, self.at(id))),
            _ => None,
        }
    }

    /// Whether nothing is written there: `rating:`, `rating: ~`, `rating: null`, `rating: ""`.
    pub fn is_empty(&self, id: Id) -> bool {
        match self.node(id) {
            Node::Scalar { text, plain } => {
                text.trim().is_empty() || (*plain && matches!(&**text, "~" | "null" | "Null"))
            }
            _ => false,
        }
    }

    /// How many bytes the text has.
    pub fn length(&self) -> u32 {
        self.source.len() as u32
    }

    /// The text between two bytes.
    pub fn slice(&self, start: u32, end: u32) -> &'s str {
        self.source.get(start as usize..end as usize).unwrap_or("")
    }
}

/// Reads the one YAML document in a text; a fault of syntax ends it there.
pub(super) fn parse<'s>(
    source: &'s str,
    file: FileId,
    limits: &Limits,
    problems: &mut Problems,
) -> Option<Tree<'s>> {
    let mut builder = Builder {
        source,
        file,
        nodes: Vec::with_capacity(source.len() / 6),
        open: Vec::new(),
        anchors: HashMap::new(),
        root: None,
        limits,
    };
    let options = granit_parser::options! { emit_comments: false };
    for event in Parser::new_from_str_with_options(source, options) {
        let fault = match event {
            Ok((event, span)) => builder.take(event, span, problems).err(),
            Err(error) => Some(syntax(&error, source, file)),
        };
        if let Some(fault) = fault {
            problems.push(fault);
            return None;
        }
    }
    let root = builder.root?;
    Some(Tree {
        source,
        file,
        nodes: builder.nodes,
        root,
    })
}

/// A list or map that is not closed yet, and the key that waits for its value.
struct Open {
    id: Id,
    key: Option<Id>,
}

struct Builder<'s, 'l> {
    source: &'s str,
    file: FileId,
    nodes: Vec<(Node<'s>, u32, u32)>,
    open: Vec<Open>,
    anchors: HashMap<usize, Id>,
    root: Option<Id>,
    limits: &'l Limits,
}

impl<'s> Builder<'s, '_> {
    fn take(
        &mut self,
        event: Event<'s>,
        span: granit_parser::Span,
        problems: &mut Problems,
    ) -> Result<(), Problem> {
        let range = span.byte_range().unwrap_or(0..0);
        let at = self.span(range.start, range.end);
        match event {
            Event::Scalar(text, style, anchor, tag) => {
                self.tag(tag.as_deref(), at, problems);
                let plain = style == ScalarStyle::Plain;
                Self::escapes(&text, plain, at)?;
                let id = self.push(Node::Scalar { text, plain }, at)?;
                self.anchor(anchor, id);
                self.place(id);
            }
            Event::SequenceStart(_, anchor, tag) => {
                self.tag(tag.as_deref(), at, problems);
                self.begin(Node::List(Vec::new()), anchor, at)?;
            }
            Event::MappingStart(style, anchor, tag) => {
                self.tag(tag.as_deref(), at, problems);
                let flow = style == StructureStyle::Flow;
                let entries = Vec::new();
                self.begin(Node::Map { entries, flow }, anchor, at)?;
            }
            Event::SequenceEnd | Event::MappingEnd => {
                if let Some(open) = self.open.pop() {
                    let node = &mut self.nodes[open.id.0 as usize];
                    node.2 = node.1.max(at.end);
                    self.place(open.id);
                }
            }
            Event::Alias(anchor) => self.alias(anchor, at)?,
            Event::DocumentStart(..) if self.root.is_some() => {
                return Err(Problem::new(
                    self.span(range.start, range.end.max(range.start + 3)),
                    "a second document starts here",
                )
                .label("one file holds one vehicle")
                .help("move what follows the `---` to a file of its own, or take the `---` out"));
            }
            _ => {}
        }
        Ok(())
    }

    /// A place within the text, on character boundaries.
    fn span(&self, start: usize, end: usize) -> Span {
        let floor = |mut at: usize| {
            at = at.min(self.source.len());
            while !self.source.is_char_boundary(at) {
                at -= 1;
            }
            at as u32
        };
        let (start, end) = (floor(start), floor(end));
        Span::new(self.file, start, end.max(start))
    }

    fn push(&mut self, node: Node<'s>, at: Span) -> Result<Id, Problem> {
        if self.nodes.len() >= self.limits.max_nodes {
            return Err(Problem::new(
                at,
                format!("the file holds more than {} values", self.limits.max_nodes),
            )
            .label("reading stops here")
            .help("one file holds one vehicle: split it"));
        }
        self.nodes.push((node, at.start, at.end));
        Ok(Id((self.nodes.len() - 1) as u32))
    }

    fn begin(&mut self, node: Node<'s>, anchor: usize, at: Span) -> Result<(), Problem> {
        if self.open.len() >= self.limits.max_depth {
            return Err(Problem::new(
                at,
                format!(
                    "lists and maps lie more than {} deep in one another",
                    self.limits.max_depth
                ),
            )
            .label("reading stops here")
            .help("a record is never that deep: look for brackets that are not closed"));
        }
        let id = self.push(node, at)?;
        self.anchor(anchor, id);
        self.open.push(Open { id, key: None });
        Ok(())
    }

    fn anchor(&mut self, anchor: usize, id: Id) {
        if anchor != 0 {
            self.anchors.insert(anchor, id);
        }
    }

    fn alias(&mut self, anchor: usize, at: Span) -> Result<(), Problem> {
        let target = self.anchors.get(&anchor).copied();
        let Some(target) = target.filter(|id| self.open.iter().all(|open| open.id != *id)) else {
            return Err(
                Problem::new(at, "this repeats the very thing that it stands in")
                    .label("it would never end")
                    .help("write the value out, or use a part template: `library:` and `use:`"),
            );
        };
        let id = self.push(Node::Alias(target), at)?;
        self.place(id);
        Ok(())
    }

    /// An escape such as `\e` between double quotation marks would put a control character into every output; reading
    /// ends there, so that no message repeats it.
    fn escapes(text: &str, plain: bool, at: Span) -> Result<(), Problem> {
        let control = |c: char| c.is_control() && !matches!(c, '\n' | '\t');
        if plain || !text.contains(control) {
            return Ok(());
        }
        Err(
            Problem::new(at, "a control character is written here as an escape")
                .label("a backslash and what follows it")
                .help("take it out; a backslash that belongs to the words is written twice"),
        )
    }

    /// Puts a finished node into the one that is open.
    fn place(&mut self, id: Id) {
        let Some(open) = self.open.last_mut() else {
            self.root = Some(id);
            return;
        };
        match &mut self.nodes[open.id.0 as usize].0 {
            Node::List(items) => items.push(id),
            Node::Map { entries, .. } => match open.key.take() {
                Some(key) => entries.push((key, id)),
                None => open.key = Some(id),
            },
            Node::Scalar { .. } | Node::Alias(_) => {}
        }
    }

    fn tag(&self, tag: Option<&granit_parser::Tag>, at: Span, problems: &mut Problems) {
        let Some(tag) = tag.filter(|tag| tag.core_suffix() != Some("str")) else {
            return;
        };
        let start = self.source[..at.start as usize]
            .rfind('!')
            .unwrap_or(at.start as usize);
        let words = tag.original();
        let kind = words.trim_start_matches('!');
        let help = if Kind::ALL.iter().any(|one| one.text() == kind) {
            format!("write `kind: {kind}` between the braces")
        } else {
            "write the value alone, with its unit: `rating: 30 A`".to_owned()
        };
        problems.push(
            Problem::new(
                self.span(start, at.start as usize),
                format!("`{words}` is a YAML type tag, and this format has none"),
            )
            .label("leave it out")
            .help(help),
        );
    }
}
