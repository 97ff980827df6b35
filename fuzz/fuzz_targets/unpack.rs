//! Pictures and packs of strangers: whatever is read can be packed again and is the same.
#![no_main]

use libfuzzer_sys::fuzz_target;
use plyloom::parcel::{Parcel, from_picture};

fuzz_target!(|bytes: &[u8]| {
    let text = std::str::from_utf8(bytes).ok();
    for read in [from_picture(bytes).ok(), text.and_then(|text| Parcel::read(text).ok())] {
        let Some(read) = read else { continue };
        for module in &read.parcel.modules {
            assert!(!module.name.starts_with('/') && !module.name.contains(".."));
        }
        assert!(!read.parcel.name.contains(['/', '\\', '\0']));
        if let Ok(packed) = read.parcel.text() {
            let again = Parcel::read(&packed).expect("what was packed is read");
            assert!(again.parcel.is_same(&read.parcel));
            assert_eq!(again.parcel.text().as_ref(), Ok(&packed));
        }
    }
});
