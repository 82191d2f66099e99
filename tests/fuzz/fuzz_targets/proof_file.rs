#![no_main]

libfuzzer_sys::fuzz_target!(|data: &[u8]| sponson_decoders::proof_file(data));
