//! Makes the upright pictures that screens show: small, and as large as a screen.

use std::io::Cursor;
use std::panic::{AssertUnwindSafe, catch_unwind};

use image::codecs::jpeg::{JpegDecoder, JpegEncoder};
use image::codecs::png::PngDecoder;
use image::imageops::FilterType;
use image::metadata::Orientation;
use image::{DynamicImage, ImageDecoder, ImageEncoder, ImageResult, Limits, RgbImage};

use super::inspect;
use super::{MAX_DECODE_BYTES, MAX_PIXELS, PhotoFault, PhotoHash, PhotoKind};

/// JPEG quality of a thumbnail (1–100): 20–60 kB at 512 pixels.
const QUALITY: u8 = 80;
/// A colour profile larger than this is left out of a thumbnail, in bytes.
const MAX_PROFILE_BYTES: usize = 16 * 1024;

/// Makes an upright picture of at most `side` pixels, as JPEG bytes.
pub(super) fn make(
    hash: PhotoHash,
    kind: PhotoKind,
    bytes: Vec<u8>,
    side: u32,
) -> Result<Vec<u8>, PhotoFault> {
    let headers = inspect::read_headers(kind, &mut Cursor::new(&bytes));
    if let Some((width, height)) = headers.stored_size
        && u64::from(width) * u64::from(height) > MAX_PIXELS
    {
        return Err(PhotoFault::TooManyPixels {
            hash,
            width,
            height,
            limit: MAX_PIXELS,
        });
    }
    let turn = Orientation::from_exif(headers.orientation).unwrap_or(Orientation::NoTransforms);
    let undecodable = |why: String| PhotoFault::Undecodable { hash, why };
    // A decoder's panic on a hostile file is a photo that can't be shown, and no more.
    catch_unwind(AssertUnwindSafe(|| match kind {
        PhotoKind::Jpeg => shrink(JpegDecoder::new(Cursor::new(bytes))?, turn, side),
        PhotoKind::Png => {
            let decoder = PngDecoder::with_limits(Cursor::new(bytes), limits())?;
            shrink(decoder, turn, side)
        }
        PhotoKind::Heif => Err(image::ImageError::Unsupported(
            image::error::ImageFormatHint::Name("HEIF".to_owned()).into(),
        )),
    }))
    .unwrap_or_else(|_| {
        Err(image::ImageError::IoError(
            std::io::ErrorKind::InvalidData.into(),
        ))
    })
    .map_err(|fault| undecodable(fault.to_string()))
}

fn limits() -> Limits {
    let mut limits = Limits::default();
    limits.max_alloc = Some(MAX_DECODE_BYTES);
    limits
}

fn shrink(mut decoder: impl ImageDecoder, turn: Orientation, side: u32) -> ImageResult<Vec<u8>> {
    let too_large = || {
        image::ImageError::Limits(image::error::LimitError::from_kind(
            image::error::LimitErrorKind::InsufficientMemory,
        ))
    };
    // Checked again by what the decoder itself found, which is what it will allocate.
    let (width, height) = decoder.dimensions();
    if u64::from(width) * u64::from(height) > MAX_PIXELS || decoder.total_bytes() > MAX_DECODE_BYTES
    {
        return Err(too_large());
    }
    decoder.set_limits(limits())?;
    let profile = decoder
        .icc_profile()
        .ok()
        .flatten()
        .filter(|profile| is_rgb_profile(profile) && profile.len() <= MAX_PROFILE_BYTES);
    let picture = DynamicImage::from_decoder(decoder)?;
    let mut small = fit(picture, side);
    small.apply_orientation(turn);

    let small = flatten(&small);
    let mut jpeg = Vec::new();
    let mut encoder = JpegEncoder::new_with_quality(&mut jpeg, QUALITY);
    if let Some(profile) = profile {
        // A thumbnail without its profile is a little off in colour, and still a thumbnail.
        let _ = encoder.set_icc_profile(profile);
    }
    encoder.encode_image(&small)?;
    Ok(jpeg)
}

/// Scales down to `side` pixels on the longest side.
fn fit(picture: DynamicImage, side: u32) -> DynamicImage {
    let longest = picture.width().max(picture.height());
    if longest <= side {
        picture
    } else if longest >= 2 * side {
        // Averages the pixels that fall into one: quick, and as good as a filter at this ratio.
        picture.thumbnail(side, side)
    } else {
        picture.resize(side, side, FilterType::Triangle)
    }
}

/// Eight bits of red, green and blue; what is transparent lies on white.
fn flatten(picture: &DynamicImage) -> RgbImage {
    if !picture.color().has_alpha() {
        return picture.to_rgb8();
    }
    let over = picture.to_rgba8();
    RgbImage::from_fn(over.width(), over.height(), |x, y| {
        let [red, green, blue, alpha] = over.get_pixel(x, y).0;
        let alpha = u32::from(alpha);
        let on_white = |c: u8| ((u32::from(c) * alpha + 255 * (255 - alpha) + 127) / 255) as u8;
        image::Rgb([on_white(red), on_white(green), on_white(blue)])
    })
}

/// The profile's header says that it describes red, green and blue (ICC.1:2022, 7.2.8).
fn is_rgb_profile(profile: &[u8]) -> bool {
    profile.get(16..20) == Some(b"RGB ") && profile.get(36..40) == Some(b"acsp")
}
