//! Whether a packed drawing unpacks to what was packed.
//!
//! A broken Deflate stream unpacks to its first part without a word, and a page would be read half. The
//! zlib format ends with a sum over all it holds (RFC 1950, Adler-32), which tells.

use lopdf::{Dictionary, Object, Stream};

/// Whether the sum of a stream fits what it unpacked to. Streams without such a sum count as whole.
pub(super) fn is_whole(stream: &Stream, plain: &[u8], most: usize) -> bool {
    let filters = stream.filters().unwrap_or_default();
    match filters.as_slice() {
        [b"FlateDecode" | b"Fl"] => fits(&stream.content, plain),
        [shell, b"FlateDecode" | b"Fl"] => {
            let mut dict = Dictionary::new();
            dict.set("Filter", Object::Name(shell.to_vec()));
            Stream::new(dict, stream.content.clone())
                .decompressed_content_with_limit(most)
                .is_ok_and(|packed| fits(&packed, plain))
        }
        _ => true,
    }
}

/// Line ends may follow the sum, so it is sought among the last bytes.
fn fits(packed: &[u8], plain: &[u8]) -> bool {
    let sum = adler(plain).to_be_bytes();
    let tail = packed.get(packed.len().saturating_sub(sum.len() + 4)..).unwrap_or_default();
    packed.is_empty() || tail.windows(sum.len()).any(|window| window == sum)
}

/// RFC 1950, section 8.2; the sums are reduced before they can pass 32 bits (5,552 bytes at a time).
fn adler(bytes: &[u8]) -> u32 {
    let (low, high) = bytes.chunks(5_552).fold((1_u32, 0_u32), |sums, chunk| {
        let (low, high) = chunk.iter().fold(sums, |(low, high), byte| {
            let low = low + u32::from(*byte);
            (low, high + low)
        });
        (low % 65_521, high % 65_521)
    });
    high << 16 | low
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_sum_is_that_of_the_standard() {
        // The usual check value of Adler-32, from memory: "Wikipedia" gives 11E60398.
        assert_eq!(adler(b"Wikipedia"), 0x11E6_0398);
    }

    #[test]
    fn a_packed_stream_is_whole_until_a_byte_of_it_turns() {
        let text: Vec<u8> = (0..200).flat_map(|line| format!("({line}) Tj T* ").into_bytes()).collect();
        let mut stream = Stream::new(Dictionary::new(), text);
        stream.compress().unwrap();
        let plain = |stream: &Stream| stream.get_plain_content_with_limit(1 << 20).unwrap_or_default();
        assert!(is_whole(&stream, &plain(&stream), 1 << 20));
        let middle = stream.content.len() / 2;
        stream.content[middle] ^= 8;
        assert!(!is_whole(&stream, &plain(&stream), 1 << 20));
    }
}
