//! What needs something that a plain machine may lack: a browser, python, another user. Where it
//! lacks, a test is reported as ignored, with what to do; with `CI=true`, as failed.
#![cfg(unix)]

mod browser;
mod full_disk;
mod handover;
mod need;
mod network;
mod one_file;
mod permission;
mod print;
mod reference;

#[path = "../files/folders.rs"]
mod folders;
#[path = "../page/served.rs"]
mod served;
#[path = "../show/studied.rs"]
mod studied;
#[path = "../bench/typing.rs"]
mod typing;

fn main() -> std::process::ExitCode {
    let arguments = libtest_mimic::Arguments::from_args();
    let parts = [
        browser::tests(),
        full_disk::tests(),
        handover::tests(),
        network::tests(),
        one_file::tests(),
        permission::tests(),
        print::tests(),
        reference::tests(),
    ];
    libtest_mimic::run(&arguments, parts.into_iter().flatten().collect()).exit_code()
}
