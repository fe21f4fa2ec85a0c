//! Bytes as people and files write them.

/// Two hexadecimal digits a byte.
pub(crate) fn hex(bytes: &[u8]) -> String {
    bytes.iter().map(|byte| format!("{byte:02x}")).collect()
}
