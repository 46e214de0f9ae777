//! Audits a plan that `plan --json` wrote: `cargo run -p auditor --example audit_plan -- plan.json`.
//! Prints every broken rule on a line of its own and ends with how many there are.
#![expect(clippy::print_stdout, reason = "an example speaks to whoever runs it")]

use std::process::ExitCode;

fn main() -> ExitCode {
    let Some(path) = std::env::args().nth(1) else {
        eprintln!("name the file that `plan --json` wrote");
        return ExitCode::from(2);
    };
    let read = std::fs::read_to_string(&path).map_err(|e| e.to_string());
    let plan = read.and_then(|t| serde_json::from_str(&t).map_err(|e| e.to_string()));
    match plan.and_then(|plan| auditor::audit(&plan).map_err(|e| e.to_string())) {
        Ok(broken) => {
            for one in &broken {
                println!("{one}");
            }
            println!("{} rules broken", broken.len());
            ExitCode::from(u8::from(!broken.is_empty()))
        }
        Err(why) => {
            eprintln!("{path}: {why}");
            ExitCode::from(2)
        }
    }
}
