//! Takes the place out of a photo without touching its picture.
//!
//! What may stay is listed; all else goes. So metadata that no one has thought of yet goes too.

use std::io::Cursor;

use super::inspect::{self, PNG_SIGNATURE, PlaceSigns};
use super::{PhotoFault, PhotoHash, PhotoKind, Unclean};

/// A fault in how the file is built, at a byte of it.
type At = (usize, &'static str);

/// The file with the same compressed picture and nothing that tells a place.
pub(super) fn without_location(
    hash: PhotoHash,
    kind: PhotoKind,
    bytes: &[u8],
) -> Result<Vec<u8>, PhotoFault> {
    let headers = inspect::read_headers(kind, &mut Cursor::new(bytes));
    let exif = minimal_exif(headers.orientation, headers.taken.as_deref());
    let cleaned = match kind {
        PhotoKind::Jpeg => clean_jpeg(bytes, exif.as_deref()),
        PhotoKind::Png => clean_png(bytes, exif.as_deref()),
        PhotoKind::Heif => return Err(PhotoFault::CannotClean { hash, kind }),
    };
    let cleaned = cleaned.map_err(|(at, how)| (at, Unclean::Build(how)));
    let cleaned = cleaned.and_then(|cleaned| {
        if inspect::place_signs(&cleaned) == PlaceSigns::default() {
            Ok(cleaned)
        } else {
            Err((0, Unclean::TellsPlace))
        }
    });
    cleaned.map_err(|(at, why)| PhotoFault::Uncleanable {
        hash,
        at: at as u64,
        why,
    })
}

/// A TIFF block with the orientation (if it isn't 1) and DateTimeOriginal (TIFF 6.0, section 2;
/// EXIF 2.32, 4.6). Nothing if there is nothing to say. The offset from UTC is left out: with the
/// time zone it would tell a little of the place.
fn minimal_exif(orientation: u8, taken: Option<&str>) -> Option<Vec<u8>> {
    let taken = taken.and_then(|taken| taken.get(..19));
    let turned = orientation != 1;
    if !turned && taken.is_none() {
        return None;
    }
    let entries = u16::from(turned) + u16::from(taken.is_some());
    let mut tiff = b"MM\0\x2a\0\0\0\x08".to_vec();
    tiff.extend(entries.to_be_bytes());
    if turned {
        tiff.extend(b"\x01\x12\0\x03\0\0\0\x01");
        tiff.extend([0, orientation, 0, 0]);
    }
    if let Some(taken) = taken {
        let exif_directory = 8 + 2 + 12 * u32::from(entries) + 4;
        tiff.extend(b"\x87\x69\0\x04\0\0\0\x01");
        tiff.extend(exif_directory.to_be_bytes());
        tiff.extend([0; 4]); // no further directory
        // ExifVersion and DateTimeOriginal, whose 20 bytes lie behind the directory.
        tiff.extend(b"\0\x02\x90\0\0\x07\0\0\0\x040232");
        tiff.extend(b"\x90\x03\0\x02\0\0\0\x14");
        tiff.extend((exif_directory + 2 + 2 * 12 + 4).to_be_bytes());
        tiff.extend([0; 4]);
        let text = taken.bytes().enumerate().map(|(i, byte)| match i {
            4 | 7 => b':',
            10 => b' ',
            _ => byte,
        });
        tiff.extend(text);
        tiff.push(0);
    } else {
        tiff.extend([0; 4]);
    }
    Some(tiff)
}

/// Keeps what decoding needs (ITU-T T.81, Annex B), plus JFIF density (ITU-T T.871), the colour
/// transform (ITU-T T.872, 6.5.3) and an ICC profile (ICC.1:2022, Annex B.4). What lies behind the
/// end of the image goes: cameras put second pictures and clips there.
fn clean_jpeg(bytes: &[u8], exif: Option<&[u8]>) -> Result<Vec<u8>, At> {
    let mut density = Vec::new();
    let mut rest = Vec::with_capacity(bytes.len());
    let mut profile_is_one = None;
    let (mut frame, mut scan) = (false, false);
    let mut at = 2; // behind the start-of-image marker
    loop {
        let start = at;
        if bytes.get(at) != Some(&0xff) {
            let why = "a marker was expected";
            return match bytes.get(at) {
                Some(_) => Err((at, why)),
                None if scan => break, // cut off between scans: what is there can be shown
                None => Err((at, "the file ends before its picture")),
            };
        }
        while bytes.get(at) == Some(&0xff) {
            at += 1;
        }
        let Some(&marker) = bytes.get(at) else {
            if scan {
                break;
            }
            return Err((start, "the file ends before its picture"));
        };
        at += 1;
        if marker == 0xd9 {
            break;
        }
        if matches!(marker, 0x00 | 0x01 | 0xd0..=0xd8) {
            return Err((start, "this marker may not stand here"));
        }
        let cut = (start, "a segment runs over the end of the file");
        let length = bytes.get(at..at + 2).ok_or(cut)?;
        let length = usize::from(u16::from_be_bytes([length[0], length[1]]));
        if length < 2 {
            return Err((start, "a segment is shorter than its own length field"));
        }
        let body = bytes.get(at + 2..at + length).ok_or(cut)?;
        at += length;
        let keep = |out: &mut Vec<u8>, body: &[u8]| {
            // Never longer than the segment it came from, so the length fits.
            out.extend([0xff, marker]);
            out.extend(((body.len() + 2) as u16).to_be_bytes());
            out.extend(body);
        };
        match marker {
            0xe0 if density.is_empty() && body.starts_with(b"JFIF\0") && body.len() >= 14 => {
                // Without the thumbnail that JFIF may carry.
                keep(&mut density, &[&body[..12], &[0, 0]].concat());
            }
            0xe2 if body.starts_with(b"ICC_PROFILE\0") && body.len() > 14 => {
                // The parts of a profile come in order; its mark lies in the first.
                let is_one =
                    *profile_is_one.get_or_insert(body.get(14 + 36..14 + 40) == Some(b"acsp"));
                if is_one {
                    keep(&mut rest, body);
                }
            }
            0xee if body.starts_with(b"Adobe") && body.len() >= 12 => keep(&mut rest, &body[..12]),
            // Frames, tables, arithmetic conditioning, line count, restart interval, hierarchy. A text
            // whose marker was damaged into one of these is none of them.
            0xc0..=0xc7 | 0xc9..=0xcf | 0xdb..=0xdf => {
                if !well_formed(marker, body) {
                    return Err((start, "a segment is not what its marker says"));
                }
                frame |= !matches!(marker, 0xc4 | 0xcc) && marker < 0xd0;
                keep(&mut rest, body);
            }
            0xda => {
                if !frame {
                    return Err((start, "a scan begins before its frame"));
                }
                if !well_formed(marker, body) {
                    return Err((start, "a segment is not what its marker says"));
                }
                scan = true;
                keep(&mut rest, body);
                let end = scan_end(bytes, at);
                rest.extend(&bytes[at..end]);
                at = end;
            }
            _ => {} // every other application segment, comments, what is reserved
        }
    }
    if !scan {
        return Err((at, "the file ends before its picture"));
    }
    let mut out = Vec::with_capacity(rest.len() + 256);
    out.extend([0xff, 0xd8]);
    out.extend(density);
    if let Some(exif) = exif {
        out.extend([0xff, 0xe1]);
        out.extend(((2 + 6 + exif.len()) as u16).to_be_bytes());
        out.extend(b"Exif\0\0");
        out.extend(exif);
    }
    out.extend(rest);
    out.extend([0xff, 0xd9]);
    Ok(out)
}

/// Whether a segment has the parts that its marker promises and nothing behind them (ITU-T T.81,
/// B.2.2 to B.3.3).
fn well_formed(marker: u8, body: &[u8]) -> bool {
    match marker {
        // Quantization tables: precision and place, 64 values of one byte or of two.
        0xdb => all_of(body, |rest| match rest.first()? >> 4 {
            0 => Some(1 + 64),
            1 => Some(1 + 128),
            _ => None,
        }),
        // Huffman tables: class and place, 16 counts, so many values.
        0xc4 => all_of(body, |rest| {
            let counts = rest.get(1..17)?;
            Some(17 + counts.iter().map(|n| usize::from(*n)).sum::<usize>())
        }),
        // Conditioning: class and place, a value; of each place at most one.
        0xcc => {
            let place = |pair: &[u8]| pair.len() == 2 && pair[0] >> 4 < 2 && pair[0] & 15 < 4;
            (2..=16).contains(&body.len()) && body.chunks(2).all(place)
        }
        0xdc | 0xdd => body.len() == 2,
        0xdf => body.len() == 1,
        0xda => body
            .first()
            .is_some_and(|n| body.len() == 4 + 2 * usize::from(*n)),
        // Frames, and the hierarchy's own: precision, lines, samples, components of three bytes.
        _ => body
            .get(5)
            .is_some_and(|n| body.len() == 6 + 3 * usize::from(*n)),
    }
}

/// Whether a body is one or more parts end to end, each as long as `part` says.
fn all_of(mut body: &[u8], part: impl Fn(&[u8]) -> Option<usize>) -> bool {
    loop {
        match part(body).and_then(|length| body.get(length..)) {
            Some([]) => return true,
            Some(rest) => body = rest,
            None => return false,
        }
    }
}

/// Where the entropy-coded data ends that begins at `at`: at a marker that isn't a restart, or at
/// the end of a file that was cut off.
fn scan_end(bytes: &[u8], mut at: usize) -> usize {
    while let Some(found) = memchr::memchr(0xff, &bytes[at..]) {
        let marker = at + found;
        match bytes.get(marker + 1) {
            Some(0x00 | 0xd0..=0xd7) => at = marker + 2,
            Some(_) | None => return marker,
        }
    }
    bytes.len()
}

/// Chunks that decoding and true colour need (ISO/IEC 15948, clause 11), and those of animation.
const PNG_KEPT: [&[u8; 4]; 18] = [
    b"IHDR", b"PLTE", b"IDAT", b"IEND", b"tRNS", b"cHRM", b"gAMA", b"iCCP", b"sBIT", b"sRGB",
    b"cICP", b"mDCV", b"cLLI", b"bKGD", b"pHYs", b"acTL", b"fcTL", b"fdAT",
];

fn clean_png(bytes: &[u8], exif: Option<&[u8]>) -> Result<Vec<u8>, At> {
    let mut out = Vec::with_capacity(bytes.len());
    out.extend(PNG_SIGNATURE);
    let mut at = PNG_SIGNATURE.len();
    loop {
        let head = bytes
            .get(at..at + 8)
            .ok_or((at, "the file ends before its end chunk"))?;
        let length = u32::from_be_bytes([head[0], head[1], head[2], head[3]]) as usize;
        let kind = &head[4..];
        let end = at.saturating_add(length).saturating_add(12);
        let chunk = bytes
            .get(at..end)
            .ok_or((at, "a chunk runs over the end of the file"))?;
        if PNG_KEPT.iter().any(|kept| *kept == kind) {
            out.extend(chunk);
        }
        if kind == b"IEND" {
            return Ok(out);
        }
        if kind == b"IHDR"
            && let Some(exif) = exif
        {
            out.extend((exif.len() as u32).to_be_bytes());
            let from = out.len();
            out.extend(b"eXIf");
            out.extend(exif);
            let sum = crc32fast::hash(&out[from..]);
            out.extend(sum.to_be_bytes());
        }
        at = end;
    }
}
