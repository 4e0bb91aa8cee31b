//! The command line of `modstate`.

fn main() -> std::process::ExitCode {
    modstate::cli::main()
}
