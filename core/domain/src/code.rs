//! A member's own code, kept as what Argon2id makes of it (RFC 9106).
//!
//! The hash stands in the journal, which every phone of the crew has, and a code of four digits has
//! ten thousand values: who has the file and an hour finds it. What it does is keep a code from
//! being read, and a phone in the wrong hand from signing: there the tries are few.

use argon2::{Algorithm, Argon2, Block, Params, Version};
use data_encoding::HEXLOWER;

use super::facts::CodeHash;

/// Memory, KiB, and passes over it: 19 MiB and 2, the least that the OWASP cheat sheet on password
/// storage gives for Argon2id (from memory), rather than the 64 MiB and 3 of RFC 9106, section 4: a
/// phone that draws photos at the same time has them to spare, and is done in about a tenth of a
/// second.
const MEMORY_KIB: u32 = 19_456;
/// See [`MEMORY_KIB`].
const PASSES: u32 = 2;
/// The most that a hash from elsewhere may ask of this phone: 64 MiB and 4 passes.
const MOST: (u32, u32) = (65_536, 4);

/// Wrong tries before the first wait.
const FREE_TRIES: u32 = 4;
/// The longest wait, ms.
const LONGEST_WAIT_MS: i64 = 60 * 60_000;

/// How long to wait after so many wrong tries in a row, ms: none after four, then a minute, which
/// doubles with each up to an hour.
pub fn wait_ms(tries: u32) -> i64 {
    match tries.checked_sub(FREE_TRIES + 1) {
        None => 0,
        Some(more) => LONGEST_WAIT_MS.min(60_000 << more.min(10)),
    }
}

fn hash(code: &str, salt: &[u8], memory_kib: u32, passes: u32) -> Option<[u8; 32]> {
    if memory_kib > MOST.0 || passes > MOST.1 {
        return None;
    }
    let params = Params::new(memory_kib, passes, 1, Some(32)).ok()?;
    let mut memory = vec![Block::default(); params.block_count()];
    let argon = Argon2::new(Algorithm::Argon2id, Version::V0x13, params);
    let mut out = [0; 32];
    let typed = code.trim();
    argon
        .hash_password_into_with_memory(typed.as_bytes(), salt, &mut out, &mut memory)
        .ok()?;
    Some(out)
}

/// What is kept of a code, with a random salt. Blanks around it don't count.
pub fn keep(code: &str, salt: &[u8; 16]) -> CodeHash {
    let hash = hash(code, salt, MEMORY_KIB, PASSES).unwrap_or_default();
    CodeHash {
        salt: HEXLOWER.encode(salt),
        hash: HEXLOWER.encode(&hash),
        memory_kib: MEMORY_KIB,
        passes: PASSES,
    }
}

/// Whether a code is the one that was kept. One that can't be read, or asks for more than a phone
/// has, is nobody's.
pub fn is_right(kept: &CodeHash, typed: &str) -> bool {
    let decoded = |text: &str| HEXLOWER.decode(text.as_bytes()).ok();
    let (Some(salt), Some(wanted)) = (decoded(&kept.salt), decoded(&kept.hash)) else {
        return false;
    };
    hash(typed, &salt, kept.memory_kib, kept.passes).is_some_and(|h| {
        // All bytes are looked at, however early the first differs.
        let differing = h.iter().zip(&wanted).fold(0, |d, (a, b)| d | (a ^ b));
        wanted.len() == h.len() && differing == 0 && h != [0; 32]
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// RFC 9106, section 5.3: the test vector of Argon2id.
    #[test]
    fn argon2id_is_that_of_the_rfc() {
        let params = argon2::ParamsBuilder::new()
            .m_cost(32)
            .t_cost(3)
            .p_cost(4)
            .output_len(32)
            .data(argon2::AssociatedData::new(&[4; 12]).unwrap())
            .build()
            .unwrap();
        let argon =
            Argon2::new_with_secret(&[3; 8], Algorithm::Argon2id, Version::V0x13, params).unwrap();
        let mut out = [0; 32];
        let mut memory = vec![Block::default(); argon.params().block_count()];
        argon
            .hash_password_into_with_memory(&[1; 32], &[2; 16], &mut out, &mut memory)
            .unwrap();
        assert_eq!(
            HEXLOWER.encode(&out),
            "0d640df58d78766c08c037a34a8b53c9d01ef0452d75b65eb52520e96b01e659"
        );
    }

    #[test]
    fn a_code_is_right_or_not() {
        let kept = keep(" 4711 ", &[9; 16]);
        assert!(is_right(&kept, "4711"));
        assert!(!is_right(&kept, "4712"));
        assert!(!is_right(&kept, ""));
        assert_ne!(keep("4711", &[8; 16]).hash, kept.hash);
        let greedy = CodeHash {
            memory_kib: u32::MAX,
            ..kept.clone()
        };
        assert!(!is_right(&greedy, "4711"));
        let empty = CodeHash {
            hash: String::new(),
            ..kept
        };
        assert!(!is_right(&empty, "4711"));
    }

    #[test]
    fn tries_are_few_and_waits_end() {
        let minutes: Vec<i64> = (0..13).map(|n| wait_ms(n) / 60_000).collect();
        assert_eq!(minutes, [0, 0, 0, 0, 0, 1, 2, 4, 8, 16, 32, 60, 60]);
        assert_eq!(wait_ms(u32::MAX), LONGEST_WAIT_MS);
    }
}
