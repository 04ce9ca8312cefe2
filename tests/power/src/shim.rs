//! Stands between SQLite and the system's files: passes everything on, and records what changes a recorded file. The only
//! `unsafe` of the project.
//!
//! What is relied on: SQLite calls these functions with a file that `open` filled, and never after `close`; the memory
//! it gives for a file is as large as `szOsFile` asks and lies on a border of 8 bytes; the system's own functions (`base`)
//! live as long as the program. Mapped files are not offered, so that every write is seen.
#![allow(unsafe_code)]

use crate::{Op, add, is_recorded};
use rusqlite::ffi;
use std::ffi::{CStr, c_char, c_int, c_void};
use std::path::PathBuf;
use std::sync::{Mutex, OnceLock, PoisonError};

/// The system's own functions.
struct Base(*mut ffi::sqlite3_vfs);
// SAFETY: it is set once, never written afterwards, and SQLite calls it from every thread itself.
unsafe impl Send for Base {}
unsafe impl Sync for Base {}

static BASE: OnceLock<Result<Base, String>> = OnceLock::new();
/// Names of recorded files; a file knows its place in here.
static NAMES: Mutex<Vec<PathBuf>> = Mutex::new(Vec::new());

/// A file as SQLite holds it, with the system's own behind it.
#[repr(C, align(8))]
struct File {
    head: ffi::sqlite3_file,
    /// Its place among the names; none if it is not recorded.
    name: i64,
}

const SIZE: usize = size_of::<File>();

/// Makes it the way by which SQLite comes to its files, once.
pub(crate) fn install() -> Result<(), String> {
    let done = BASE.get_or_init(|| {
        // SAFETY: SQLite gives its own default, which lives as long as the program.
        let base = unsafe { ffi::sqlite3_vfs_find(std::ptr::null()) };
        if base.is_null() {
            return Err("SQLite has no files here".into());
        }
        // SAFETY: just seen not to be null. The copy is leaked: SQLite keeps it for good.
        let own = Box::leak(Box::new(unsafe { *base }));
        own.szOsFile += c_int::try_from(SIZE).map_err(|e| e.to_string())?;
        own.zName = c"power".as_ptr();
        own.pNext = std::ptr::null_mut();
        own.xOpen = Some(open);
        own.xDelete = Some(delete);
        // SAFETY: `own` is complete and never freed.
        match unsafe { ffi::sqlite3_vfs_register(own, 1) } {
            ffi::SQLITE_OK => Ok(Base(base)),
            code => Err(format!("SQLite did not take it: {code}")),
        }
    });
    done.as_ref().map(|_| ()).map_err(Clone::clone)
}

fn base() -> *mut ffi::sqlite3_vfs {
    match BASE.get() {
        Some(Ok(base)) => base.0,
        // Registering calls nothing; afterwards it is set.
        _ => std::ptr::null_mut(),
    }
}

/// The system's file behind ours.
unsafe fn behind(file: *mut ffi::sqlite3_file) -> *mut ffi::sqlite3_file {
    // SAFETY: the memory of a file is SIZE longer than the system asks.
    unsafe { file.cast::<u8>().add(SIZE).cast() }
}

unsafe fn name(file: *mut ffi::sqlite3_file) -> Option<PathBuf> {
    // SAFETY: `open` filled it.
    let at = usize::try_from(unsafe { (*file.cast::<File>()).name }).ok()?;
    NAMES.lock().unwrap_or_else(PoisonError::into_inner).get(at).cloned()
}

unsafe fn path(name: *const c_char) -> Option<PathBuf> {
    if name.is_null() {
        return None;
    }
    // SAFETY: SQLite's names end with a zero.
    unsafe { CStr::from_ptr(name) }.to_str().ok().map(PathBuf::from)
}

unsafe extern "C" fn open(
    _: *mut ffi::sqlite3_vfs,
    name: ffi::sqlite3_filename,
    file: *mut ffi::sqlite3_file,
    flags: c_int,
    out: *mut c_int,
) -> c_int {
    let base = base();
    // SAFETY: SQLite gives memory for a file of `szOsFile`, and the system fills its own part.
    unsafe {
        (*file).pMethods = std::ptr::null();
        let Some(real) = base.as_ref().and_then(|b| b.xOpen) else { return ffi::SQLITE_CANTOPEN };
        let done = real(base, name, behind(file), flags, out);
        let own = file.cast::<File>();
        (*own).name = -1;
        if done == ffi::SQLITE_OK {
            if let Some(path) = path(name).filter(|p| is_recorded(p)) {
                let mut names = NAMES.lock().unwrap_or_else(PoisonError::into_inner);
                (*own).name = i64::try_from(names.len()).unwrap_or(-1);
                names.push(path);
            }
            (*file).pMethods = &raw const METHODS;
        }
        done
    }
}

unsafe extern "C" fn delete(_: *mut ffi::sqlite3_vfs, name: *const c_char, sync: c_int) -> c_int {
    let base = base();
    // SAFETY: passed on as it came.
    unsafe {
        let Some(real) = base.as_ref().and_then(|b| b.xDelete) else { return ffi::SQLITE_IOERR_DELETE };
        let done = real(base, name, sync);
        if done == ffi::SQLITE_OK
            && let Some(path) = path(name).filter(|p| is_recorded(p))
        {
            add(Op::Delete(path.clone()));
            if sync != 0 {
                add(Op::Sync(path));
            }
        }
        done
    }
}

static METHODS: ffi::sqlite3_io_methods = ffi::sqlite3_io_methods {
    iVersion: 2,
    xClose: Some(close),
    xRead: Some(read),
    xWrite: Some(write),
    xTruncate: Some(truncate),
    xSync: Some(sync),
    xFileSize: Some(size),
    xLock: Some(lock),
    xUnlock: Some(unlock),
    xCheckReservedLock: Some(reserved),
    xFileControl: Some(control),
    xSectorSize: Some(sector),
    xDeviceCharacteristics: Some(device),
    xShmMap: Some(shm_map),
    xShmLock: Some(shm_lock),
    xShmBarrier: Some(shm_barrier),
    xShmUnmap: Some(shm_unmap),
    xFetch: None,
    xUnfetch: None,
};

/// Calls the system's function of that name on the file behind ours.
macro_rules! pass {
    ($file:ident, $method:ident $(, $arg:expr)*) => {{
        // SAFETY: `open` gave the file behind ours its functions; arguments are passed on as they came.
        unsafe {
            let real = behind($file);
            match (*real).pMethods.as_ref().and_then(|m| m.$method) {
                Some(call) => call(real $(, $arg)*),
                None => ffi::SQLITE_IOERR,
            }
        }
    }};
}

unsafe extern "C" fn close(file: *mut ffi::sqlite3_file) -> c_int {
    pass!(file, xClose)
}

unsafe extern "C" fn read(file: *mut ffi::sqlite3_file, into: *mut c_void, n: c_int, at: i64) -> c_int {
    pass!(file, xRead, into, n, at)
}

unsafe extern "C" fn write(file: *mut ffi::sqlite3_file, from: *const c_void, n: c_int, at: i64) -> c_int {
    let done = pass!(file, xWrite, from, n, at);
    // SAFETY: `open` filled the file; `from` holds `n` bytes.
    unsafe {
        if done == ffi::SQLITE_OK
            && let Some(path) = name(file)
            && let (Ok(n), Ok(at)) = (usize::try_from(n), usize::try_from(at))
        {
            add(Op::Write(path, at, std::slice::from_raw_parts(from.cast::<u8>(), n).to_vec()));
        }
    }
    done
}

unsafe extern "C" fn truncate(file: *mut ffi::sqlite3_file, size: i64) -> c_int {
    let done = pass!(file, xTruncate, size);
    // SAFETY: `open` filled the file.
    if done == ffi::SQLITE_OK
        && let Some(path) = unsafe { name(file) }
        && let Ok(size) = usize::try_from(size)
    {
        add(Op::Size(path, size));
    }
    done
}

unsafe extern "C" fn sync(file: *mut ffi::sqlite3_file, flags: c_int) -> c_int {
    let done = pass!(file, xSync, flags);
    // SAFETY: `open` filled the file.
    if done == ffi::SQLITE_OK
        && let Some(path) = unsafe { name(file) }
    {
        add(Op::Sync(path));
    }
    done
}

unsafe extern "C" fn size(file: *mut ffi::sqlite3_file, into: *mut i64) -> c_int {
    pass!(file, xFileSize, into)
}

unsafe extern "C" fn lock(file: *mut ffi::sqlite3_file, level: c_int) -> c_int {
    pass!(file, xLock, level)
}

unsafe extern "C" fn unlock(file: *mut ffi::sqlite3_file, level: c_int) -> c_int {
    pass!(file, xUnlock, level)
}

unsafe extern "C" fn reserved(file: *mut ffi::sqlite3_file, into: *mut c_int) -> c_int {
    pass!(file, xCheckReservedLock, into)
}

unsafe extern "C" fn control(file: *mut ffi::sqlite3_file, what: c_int, with: *mut c_void) -> c_int {
    pass!(file, xFileControl, what, with)
}

unsafe extern "C" fn sector(file: *mut ffi::sqlite3_file) -> c_int {
    pass!(file, xSectorSize)
}

unsafe extern "C" fn device(file: *mut ffi::sqlite3_file) -> c_int {
    pass!(file, xDeviceCharacteristics)
}

unsafe extern "C" fn shm_map(
    file: *mut ffi::sqlite3_file,
    page: c_int,
    size: c_int,
    extend: c_int,
    into: *mut *mut c_void,
) -> c_int {
    pass!(file, xShmMap, page, size, extend, into)
}

unsafe extern "C" fn shm_lock(file: *mut ffi::sqlite3_file, at: c_int, n: c_int, flags: c_int) -> c_int {
    pass!(file, xShmLock, at, n, flags)
}

unsafe extern "C" fn shm_barrier(file: *mut ffi::sqlite3_file) {
    // SAFETY: `open` gave the file behind ours its functions.
    unsafe {
        let real = behind(file);
        if let Some(call) = (*real).pMethods.as_ref().and_then(|m| m.xShmBarrier) {
            call(real);
        }
    }
}

unsafe extern "C" fn shm_unmap(file: *mut ffi::sqlite3_file, delete: c_int) -> c_int {
    pass!(file, xShmUnmap, delete)
}
