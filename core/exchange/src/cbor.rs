//! Reading CBOR (RFC 8949) that may be anything: every fault says what is wrong and where, and nothing is
//! reserved for what a number claims to follow.

use minicbor::data::Type;
use minicbor::{Decoder, Encoder};

use super::Fault;

/// What writes into memory.
pub(crate) type Writer = Encoder<Vec<u8>>;

/// One that begins.
pub(crate) fn writer() -> Writer {
    Encoder::new(Vec::new())
}

/// Writing into memory does not fail.
pub(crate) trait Put {
    fn list(&mut self, of: usize) -> &mut Self;
    fn number(&mut self, n: u64) -> &mut Self;
    fn signed(&mut self, n: i64) -> &mut Self;
    fn text(&mut self, text: &str) -> &mut Self;
    fn blob(&mut self, bytes: &[u8]) -> &mut Self;
    fn nothing(&mut self) -> &mut Self;
}

impl Put for Writer {
    fn list(&mut self, of: usize) -> &mut Self {
        let _ = self.array(of as u64);
        self
    }
    fn number(&mut self, n: u64) -> &mut Self {
        let _ = self.u64(n);
        self
    }
    fn signed(&mut self, n: i64) -> &mut Self {
        let _ = self.i64(n);
        self
    }
    fn text(&mut self, text: &str) -> &mut Self {
        let _ = self.str(text);
        self
    }
    fn blob(&mut self, bytes: &[u8]) -> &mut Self {
        let _ = self.bytes(bytes);
        self
    }
    fn nothing(&mut self) -> &mut Self {
        let _ = self.null();
        self
    }
}

/// Reads one value after the other.
pub(crate) struct Reader<'a>(Decoder<'a>);

impl<'a> Reader<'a> {
    pub(crate) fn of(bytes: &'a [u8]) -> Reader<'a> {
        Reader(Decoder::new(bytes))
    }

    fn want<T>(
        &mut self,
        what: &'static str,
        read: impl FnOnce(&mut Decoder<'a>) -> Result<T, minicbor::decode::Error>,
    ) -> Result<T, Fault> {
        let at = self.0.position();
        read(&mut self.0).map_err(|_| Fault::Malformed { what, at })
    }

    /// That something is wrong with what was just read.
    pub(crate) fn wrong(&self, what: &'static str) -> Fault {
        let at = self.0.position();
        Fault::Malformed { what, at }
    }

    /// A list's length, at most `most`.
    pub(crate) fn list(&mut self, most: usize) -> Result<usize, Fault> {
        let of = self.want("no list of a known length", Decoder::array)?;
        let of = of.and_then(|n| usize::try_from(n).ok());
        of.filter(|n| *n <= most)
            .ok_or_else(|| self.wrong("a list is too long"))
    }

    /// A list of just so many.
    pub(crate) fn list_of(&mut self, n: usize) -> Result<(), Fault> {
        match self.list(n)? {
            of if of == n => Ok(()),
            _ => Err(self.wrong("a list is too short")),
        }
    }

    pub(crate) fn number(&mut self) -> Result<u64, Fault> {
        self.want("no number", Decoder::u64)
    }

    pub(crate) fn signed(&mut self) -> Result<i64, Fault> {
        self.want("no number", Decoder::i64)
    }

    pub(crate) fn text(&mut self) -> Result<&'a str, Fault> {
        self.want("no text", Decoder::str)
    }

    pub(crate) fn blob(&mut self) -> Result<&'a [u8], Fault> {
        self.want("no bytes", Decoder::bytes)
    }

    pub(crate) fn fixed<const N: usize>(&mut self) -> Result<[u8; N], Fault> {
        let bytes = self.blob()?;
        bytes
            .try_into()
            .map_err(|_| self.wrong("bytes of another length"))
    }

    /// Whether nothing stands here, which is then passed over.
    pub(crate) fn nothing(&mut self) -> Result<bool, Fault> {
        let kind = self.want("the end", |d| d.datatype())?;
        if kind != Type::Null {
            return Ok(false);
        }
        self.want("nothing", Decoder::null)?;
        Ok(true)
    }

    /// A device's number that the database can keep, from `least`.
    pub(crate) fn seq(&mut self, least: u64) -> Result<u64, Fault> {
        match self.number()? {
            n if n >= least && i64::try_from(n).is_ok() => Ok(n),
            _ => Err(self.wrong("an event's number is out of range")),
        }
    }

    /// That nothing follows.
    pub(crate) fn end(&self) -> Result<(), Fault> {
        match self.0.position() == self.0.input().len() {
            true => Ok(()),
            false => Err(self.wrong("something follows the end")),
        }
    }
}
