//! Check codes: a short sum over texts, by which a reader sees that they are the same.

/// The check code of some texts, eight hexadecimal digits: the CRC-32 (that of zip files) of each behind its length in
/// bytes and a colon, so that no two lists of texts run into the same line of characters.
///
/// A check sum and no signature.
///
/// ```
/// # use modstate::quantity::check_code;
/// assert_ne!(check_code(["12", "3"]), check_code(["1", "23"]));
/// ```
#[must_use]
pub fn check_code<'t>(texts: impl IntoIterator<Item = &'t str>) -> String {
    let mut sum = crc32fast::Hasher::new();
    for text in texts {
        sum.update(format!("{}:{text}", text.len()).as_bytes());
    }
    format!("{:08x}", sum.finalize())
}
