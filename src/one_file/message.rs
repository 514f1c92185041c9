//! Messages: a head in JSON, and bytes behind it.

use serde::Serialize;
use serde::de::DeserializeOwned;

/// Bytes of the length that stands first.
const LENGTH: usize = 4;

/// The head of a message and what stands behind it; `None` if it is none.
pub fn read<T: DeserializeOwned>(message: &[u8]) -> Option<(T, &[u8])> {
    let (length, rest) = message.split_first_chunk::<LENGTH>()?;
    let (head, bytes) = rest.split_at_checked(u32::from_le_bytes(*length) as usize)?;
    Some((serde_json::from_slice(head).ok()?, bytes))
}

/// A message of a head and bytes.
pub fn write(head: &impl Serialize, bytes: &[u8]) -> Vec<u8> {
    let head = serde_json::to_vec(head).unwrap_or_default();
    let length = u32::try_from(head.len()).unwrap_or_default();
    [&length.to_le_bytes(), head.as_slice(), bytes].concat()
}
