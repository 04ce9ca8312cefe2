//! Files under a passphrase, in the age format (age-encryption.org/v1, one scrypt recipient): any program that reads
//! age files opens them with the same passphrase. Streams in and out; no file is touched here.

use age::secrecy::SecretString;
use age::{DecryptError, scrypt};
use std::cell::Cell;
use std::io::{ErrorKind, Read, Write};
use std::rc::Rc;

/// Work asked of whoever tries a passphrase: 2 to this power, 256 MB of memory and about a second each time.
const WORK: u8 = 18;
/// The most work a stranger's file may ask of us: a gigabyte of memory and some seconds.
const MOST_WORK: u8 = 20;
/// The most bytes of a head; one of ours has 150.
const MOST_HEAD: u64 = 8 << 10;
/// How every such file begins.
const HEAD: &[u8] = b"age-encryption.org/v1\n";
/// The least characters of a passphrase that we close a file with.
pub const LEAST: usize = 8;

/// Why a file was not closed or opened with a passphrase.
#[derive(Debug, thiserror::Error)]
pub enum SealFault {
    /// It could be guessed.
    #[error(
        "a passphrase needs at least {LEAST} characters: four or five words in a row are easy to keep and hard to guess"
    )]
    TooShort,
    /// Not this passphrase.
    #[error("this is not its passphrase: type it again, small and capital letters as they were")]
    Wrong,
    /// Nothing that was closed with a passphrase.
    #[error(
        "it was not closed with a passphrase, or its head is damaged: choose the file whose name ends in .age"
    )]
    NotSealed,
    /// A head that would take all memory.
    #[error(
        "it asks for more work than any copy of ours (2^{0}): it was not made by Hirsel; open it with the program that made it"
    )]
    TooMuchWork(u8),
    /// Bytes changed or cut off.
    #[error("it is damaged or was cut short: take another copy")]
    Damaged,
    /// The system's words.
    #[error("{0}")]
    Io(#[from] std::io::Error),
}

/// Whether a file begins as one that is closed with a passphrase.
pub fn is_sealed(head: &[u8]) -> bool {
    head.starts_with(HEAD)
}

/// Writes what is read under a passphrase.
///
/// # Errors
/// The passphrase is too short, or the streams fail.
pub fn seal(from: &mut dyn Read, to: &mut dyn Write, passphrase: &str) -> Result<(), SealFault> {
    if passphrase.chars().count() < LEAST {
        return Err(SealFault::TooShort);
    }
    seal_with(from, to, passphrase, WORK)
}

fn seal_with(from: &mut dyn Read, to: &mut dyn Write, passphrase: &str, work: u8) -> Result<(), SealFault> {
    let mut recipient = scrypt::Recipient::new(SecretString::from(passphrase.to_string()));
    recipient.set_work_factor(work);
    let all: [&dyn age::Recipient; 1] = [&recipient];
    let sealed =
        age::Encryptor::with_recipients(all.into_iter()).map_err(|e| std::io::Error::other(e.to_string()))?;
    let mut out = sealed.wrap_output(to)?;
    std::io::copy(from, &mut out)?;
    out.finish()?.flush()?;
    Ok(())
}

/// Reads no more than it is allowed, until it is set free.
struct Bounded<R> {
    from: R,
    left: Rc<Cell<Option<u64>>>,
}

impl<R: Read> Read for Bounded<R> {
    fn read(&mut self, to: &mut [u8]) -> std::io::Result<usize> {
        let Some(left) = self.left.get() else { return self.from.read(to) };
        let most = usize::try_from(left).unwrap_or(usize::MAX).min(to.len());
        let n = self.from.read(&mut to[..most])?;
        self.left.set(Some(left - n as u64));
        Ok(n)
    }
}

/// Writes what was closed with this passphrase as it was; gives its length in bytes. What is written before a fault
/// is found is right as far as it goes, but not the whole: the caller must let go of it.
///
/// # Errors
/// Another passphrase, no such file, a damaged one, or the streams fail.
pub fn unseal(from: impl Read, to: &mut dyn Write, passphrase: &str) -> Result<u64, SealFault> {
    let left = Rc::new(Cell::new(Some(MOST_HEAD)));
    let opened = age::Decryptor::new(Bounded { from, left: Rc::clone(&left) }).map_err(|e| head_fault(&e))?;
    left.set(None);
    if !opened.is_scrypt() {
        return Err(SealFault::NotSealed);
    }
    let mut identity = scrypt::Identity::new(SecretString::from(passphrase.to_string()));
    identity.set_max_work_factor(MOST_WORK);
    let one: [&dyn age::Identity; 1] = [&identity];
    let mut plain = opened.decrypt(one.into_iter()).map_err(|e| match e {
        DecryptError::ExcessiveWork { required, .. } => SealFault::TooMuchWork(required),
        DecryptError::DecryptionFailed | DecryptError::KeyDecryptionFailed | DecryptError::NoMatchingKeys => {
            SealFault::Wrong
        }
        DecryptError::InvalidMac => SealFault::Damaged,
        other => head_fault(&other),
    })?;
    std::io::copy(&mut plain, to).map_err(|e| match e.kind() {
        ErrorKind::InvalidData | ErrorKind::UnexpectedEof => SealFault::Damaged,
        _ => SealFault::Io(e),
    })
}

fn head_fault(e: &DecryptError) -> SealFault {
    match e {
        DecryptError::Io(e) if !matches!(e.kind(), ErrorKind::UnexpectedEof | ErrorKind::InvalidData) => {
            SealFault::Io(std::io::Error::new(e.kind(), e.to_string()))
        }
        _ => SealFault::NotSealed,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const QUICK: u8 = 4;

    fn closed(bytes: &[u8], word: &str) -> Vec<u8> {
        let mut out = Vec::<u8>::new();
        seal_with(&mut &bytes[..], &mut out, word, QUICK).expect("closed");
        out
    }

    fn open(bytes: &[u8], word: &str) -> Result<Vec<u8>, SealFault> {
        let mut out = Vec::<u8>::new();
        unseal(bytes, &mut out, word).map(|_| out)
    }

    /// Files of the format's own test kit, C2SP CCTV 'age', as handed round with the `age` crate 0.12.1: what is good is
    /// opened to the very bytes it names, what is bad is refused.
    #[test]
    fn files_of_the_published_test_kit() {
        let kit: [(&str, &[u8]); 6] = [
            ("scrypt", include_bytes!("../../../tests/reference/age/scrypt")),
            ("scrypt_no_match", include_bytes!("../../../tests/reference/age/scrypt_no_match")),
            ("scrypt_bad_tag", include_bytes!("../../../tests/reference/age/scrypt_bad_tag")),
            ("scrypt_double", include_bytes!("../../../tests/reference/age/scrypt_double")),
            ("scrypt_salt_short", include_bytes!("../../../tests/reference/age/scrypt_salt_short")),
            ("scrypt_work_factor_23", include_bytes!("../../../tests/reference/age/scrypt_work_factor_23")),
        ];
        for (name, file) in kit {
            let cut = file.windows(2).position(|w| w == b"\n\n").expect("a head") + 2;
            let head = String::from_utf8_lossy(&file[..cut]).into_owned();
            let told = |key: &str| head.lines().find_map(|l| l.strip_prefix(key)).map(str::trim);
            let word = told("passphrase:").expect("a passphrase");
            let got = open(&file[cut..], word);
            match told("expect:") {
                Some("success") => {
                    use sha2::Digest as _;
                    let sum = sha2::Sha256::digest(got.unwrap_or_else(|e| panic!("{name}: {e}")));
                    let sum: String = sum.iter().map(|b| format!("{b:02x}")).collect();
                    assert_eq!(Some(sum.as_str()), told("payload:"), "{name}");
                }
                _ => assert!(got.is_err(), "{name}"),
            }
            if name == "scrypt_work_factor_23" {
                assert!(matches!(open(&file[cut..], word), Err(SealFault::TooMuchWork(23))), "{name}");
            }
            if name == "scrypt_no_match" {
                assert!(matches!(open(&file[cut..], word), Err(SealFault::Wrong)), "{name}");
            }
        }
    }

    #[test]
    fn what_is_closed_opens_with_its_passphrase_alone() {
        let mut out = Vec::<u8>::new();
        seal(&mut &b"ewes"[..], &mut out, "hay barn gate moon").expect("closed");
        assert!(is_sealed(&out) && !out.windows(4).any(|w| w == b"ewes"));
        assert!(String::from_utf8_lossy(&out[..120]).contains(" 18\n"), "the work is written in the head");
        assert_eq!(open(&out, "hay barn gate moon").expect("opens"), b"ewes");
        assert!(matches!(open(&out, "hay barn gate noon"), Err(SealFault::Wrong)));
        assert!(matches!(seal(&mut &b""[..], &mut Vec::<u8>::new(), "short"), Err(SealFault::TooShort)));
        let cut = closed(&[7; 200_000], "a long passphrase");
        assert!(matches!(open(&cut[..cut.len() - 70_000], "a long passphrase"), Err(SealFault::Damaged)));
        assert!(matches!(open(b"no such file", "a long passphrase"), Err(SealFault::NotSealed)));
    }

    #[test]
    fn a_head_without_end_is_not_read_without_end() {
        let mut long = HEAD.to_vec();
        for _ in 0..4000 {
            long.extend_from_slice(
                b"-> other AAAA\nAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA\n",
            );
        }
        let read = Rc::new(Cell::new(0usize));
        struct Counting<'a>(&'a [u8], Rc<Cell<usize>>);
        impl Read for Counting<'_> {
            fn read(&mut self, to: &mut [u8]) -> std::io::Result<usize> {
                let n = self.0.read(to)?;
                self.1.set(self.1.get() + n);
                Ok(n)
            }
        }
        let got = unseal(Counting(&long, Rc::clone(&read)), &mut Vec::<u8>::new(), "a long passphrase");
        assert!(matches!(got, Err(SealFault::NotSealed)), "{got:?}");
        assert!(read.get() as u64 <= MOST_HEAD, "{} bytes", read.get());
    }

    proptest! {
        #[test]
        fn any_bytes_come_back(bytes in proptest::collection::vec(any::<u8>(), 0..3000), word in "\\PC{8,20}") {
            let out = closed(&bytes, &word);
            prop_assert_eq!(open(&out, &word).expect("opens"), bytes);
        }

        #[test]
        fn a_changed_byte_is_never_taken(at in any::<prop::sample::Index>(), flip in 1u8..=255) {
            let mut out = closed(b"two hundred ewes and their lambs", "a long passphrase");
            let n = at.index(out.len());
            out[n] ^= flip;
            prop_assert!(open(&out, "a long passphrase").is_err());
        }

        #[test]
        fn arbitrary_bytes_never_panic(bytes in proptest::collection::vec(any::<u8>(), 0..400), head in any::<bool>()) {
            let mut all = if head { HEAD.to_vec() } else { Vec::new() };
            all.extend(bytes);
            prop_assert!(open(&all, "a long passphrase").is_err());
        }
    }
}
