//! The `mahlstick` command: arguments in, the packet and the marks out.
//!
//! Exit status: 0 when all went well, 2 when the command line or the plan on it cannot be, 1 when something else failed.

mod args;
mod at_the_command;
mod check_command;
mod demo;
mod marks_command;
mod output;
mod packet_command;
mod painting_commands;
mod plan_options;
mod plot_command;
mod proportions_command;
mod studio_command;
mod values_command;

use std::io::{ErrorKind, Write, stdout};
use std::process::ExitCode;

use anyhow::Result;
use args::{Arguments, Command};
use clap::{CommandFactory, Parser};

fn main() -> ExitCode {
    let arguments = Arguments::parse();
    match run(arguments.command.unwrap_or_else(|| Command::Studio(args::StudioArguments::default()))) {
        Ok(()) => ExitCode::SUCCESS,
        Err(Failure { status, error }) => {
            eprintln!("mahlstick: {}", one_message(&error));
            ExitCode::from(status)
        }
    }
}

/// What went wrong, and the exit status that says of what kind it was.
struct Failure {
    status: u8,
    error: anyhow::Error,
}

impl Failure {
    /// The command line, or the plan on it, cannot be.
    fn usage(error: impl Into<anyhow::Error>) -> Self {
        Self { status: 2, error: error.into() }
    }
}

impl<E: Into<anyhow::Error>> From<E> for Failure {
    fn from(error: E) -> Self {
        Self { status: 1, error: error.into() }
    }
}

fn run(command: Command) -> Result<(), Failure> {
    match command {
        Command::Studio(arguments) => studio_command::run(&arguments),
        Command::Packet(arguments) => packet_command::run(&arguments),
        Command::New(arguments) => painting_commands::new(&arguments),
        Command::Show(arguments) => painting_commands::show(&arguments),
        Command::Export { painting, folder } => painting_commands::export(&painting, &folder),
        Command::Import { folder, painting } => painting_commands::import(&folder, &painting),
        Command::Marks(arguments) => {
            let plan = painting_commands::planned(&arguments.plan, arguments.painting.as_deref())?.plan;
            let text =
                if arguments.json { marks_command::json(&plan)? + "\n" } else { marks_command::table(&plan) };
            Ok(print(text.as_bytes())?)
        }
        Command::Plot(arguments) => plot_command::run(&arguments),
        Command::Proportions(arguments) => proportions_command::run(&arguments),
        Command::Values(arguments) => values_command::run(&arguments),
        Command::Check(arguments) => check_command::run(&arguments),
        Command::Demo(arguments) => demo::run(&arguments),
        Command::Completions { shell } => {
            let mut script = Vec::new();
            clap_complete::generate(shell, &mut Arguments::command(), "mahlstick", &mut script);
            Ok(print(&script)?)
        }
        Command::Man => {
            let mut page = Vec::new();
            clap_mangen::Man::new(Arguments::command()).render(&mut page)?;
            Ok(print(&page)?)
        }
    }
}

/// Prints to standard output; a reader that has seen enough and closed the pipe is no failure.
fn print(bytes: &[u8]) -> std::io::Result<()> {
    match stdout().write_all(bytes).and_then(|()| stdout().flush()) {
        Err(error) if error.kind() == ErrorKind::BrokenPipe => Ok(()),
        other => other,
    }
}

/// An error and its causes as one message: `--head: “8” has no unit. …`.
fn one_message(error: &anyhow::Error) -> String {
    let message = error.chain().map(ToString::to_string).collect::<Vec<_>>().join(": ");
    at_the_command::advice(error).map_or_else(|| message.clone(), |advice| format!("{message} {advice}"))
}
