//! Compiles the `.proto` files with protox: nobody needs protoc.

use prost::Message as _;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    println!("cargo::rerun-if-changed=sponson");
    let files = sponson_files(std::path::Path::new("sponson"))?;
    let descriptors = protox::compile(&files, ["."])?;
    let out = std::path::PathBuf::from(std::env::var("OUT_DIR")?);
    std::fs::write(out.join("descriptors.bin"), descriptors.encode_to_vec())?;
    prost_build::Config::new()
        .bytes(["."])
        .include_file("all.rs")
        .compile_fds(descriptors)?;
    Ok(())
}

fn sponson_files(folder: &std::path::Path) -> std::io::Result<Vec<std::path::PathBuf>> {
    let mut found = Vec::new();
    for entry in std::fs::read_dir(folder)? {
        let path = entry?.path();
        if path.is_dir() {
            found.extend(sponson_files(&path)?);
        } else if path.extension().is_some_and(|ext| ext == "proto") {
            found.push(path);
        }
    }
    found.sort();
    Ok(found)
}
