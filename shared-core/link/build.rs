//! Makes the service stubs; the messages themselves come from the proto crate.

fn main() -> Result<(), Box<dyn std::error::Error>> {
    println!("cargo::rerun-if-changed=../../proto/sponson");
    let root = "../../proto";
    let files = [
        "sponson/sync/v1/sync.proto",
        "sponson/service/v1/county.proto",
        "sponson/service/v1/local.proto",
    ];
    let paths: Vec<String> = files.iter().map(|file| format!("{root}/{file}")).collect();
    let descriptors = protox::compile(&paths, [root])?;
    tonic_prost_build::configure()
        .build_transport(false)
        .extern_path(".sponson", "::sponson_proto")
        .compile_fds(descriptors)?;
    Ok(())
}
