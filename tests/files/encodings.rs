//! Bytes to text and back: not one is lost on the way.

use proptest::prelude::*;
use ribwright::table::{Encoding, decode, encode};

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn decoding_and_encoding_give_the_same_bytes(bytes in proptest::collection::vec(any::<u8>(), 0..64)) {
        if let Some((text, encoding)) = decode(&bytes) {
            prop_assert_eq!(encode(&text, encoding), Ok(bytes));
        }
    }
}

#[test]
fn every_byte_of_latin1_comes_back() {
    let bytes: Vec<u8> = (0x80..=0xff).collect();
    let (text, encoding) = decode(&bytes).expect("text");
    assert_eq!(encoding, Encoding::LATIN1);
    assert_eq!(encode(&text, encoding), Ok(bytes));
}
