//! Links of strangers: whatever is read can be linked again and is the same; what was compressed is
//! bounded while it is unpacked. Bytes that are no text are a link's content, to be compressed first.
#![no_main]

use base64::Engine as _;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;
use libfuzzer_sys::fuzz_target;
use miniz_oxide::deflate::compress_to_vec_zlib;
use plyloom::explore::link::Link;

fuzz_target!(|bytes: &[u8]| {
    let own = |bytes: &[u8]| format!("#p1.{}", URL_SAFE_NO_PAD.encode(bytes));
    let text = String::from_utf8_lossy(bytes).into_owned();
    for link in [text, own(bytes), own(&compress_to_vec_zlib(bytes, 1))] {
        let Ok(read) = Link::read(&link) else { continue };
        for module in &read.link.parcel.modules {
            assert!(!module.name.starts_with('/') && !module.name.contains(".."));
        }
        assert!(!read.link.parcel.name.contains(['/', '\\', '\0']));
        if let Ok(again) = read.link.text() {
            assert_eq!(Link::read(&again).expect("what was linked is read").link, read.link);
        }
    }
});
