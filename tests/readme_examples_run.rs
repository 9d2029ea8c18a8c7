//! What README.md shows is what the program prints.
//!
//! In its `console` blocks a line that begins with `$ apical` is run from the root of the
//! crate; the lines under it, up to the next `$` or the end of the block, are the whole of
//! what it must print.

use std::process::{Command, Stdio};

/// A command of README.md and what stands under it.
#[derive(Debug)]
struct Example {
    line: usize,
    command: String,
    expected: String,
}

fn examples(readme: &str) -> Vec<Example> {
    let mut examples: Vec<Example> = Vec::new();
    let (mut inside, mut open) = (false, false);
    for (number, line) in readme.lines().enumerate() {
        if let Some(fence) = line.strip_prefix("```") {
            inside = fence == "console";
            open = false;
        } else if let (true, Some(command)) = (inside, line.strip_prefix("$ ")) {
            open = command.starts_with("apical");
            if open {
                let (line, command) = (number + 1, command.to_owned());
                examples.push(Example {
                    line,
                    command,
                    expected: String::new(),
                });
            }
        } else if let (true, Some(example)) = (open, examples.last_mut()) {
            example.expected.push_str(line);
            example.expected.push('\n');
        }
    }
    examples
}

/// Splits a command at blanks; single and double quotes hold words together.
fn words(command: &str) -> Vec<String> {
    let mut words = Vec::new();
    let mut word: Option<String> = None;
    let mut quote = None;
    for character in command.chars() {
        match quote {
            Some(mark) if mark == character => quote = None,
            None if character == '\'' || character == '"' => {
                quote = Some(character);
                word.get_or_insert_default();
            }
            None if character == ' ' => words.extend(word.take()),
            _ => word.get_or_insert_default().push(character),
        }
    }
    words.extend(word);
    words
}

#[test]
fn every_example_prints_what_is_shown() {
    let root = env!("CARGO_MANIFEST_DIR");
    let readme = std::fs::read_to_string(format!("{root}/README.md")).expect("README.md");
    let examples = examples(&readme);
    assert!(
        examples.len() >= 5,
        "README.md shows only {} examples",
        examples.len()
    );
    for example in examples {
        let (command, input) = match example.command.split_once(" < ") {
            Some((command, file)) => {
                let file = std::fs::File::open(format!("{root}/{file}"));
                (command, Stdio::from(file.expect("the file that is named")))
            }
            None => (example.command.as_str(), Stdio::null()),
        };
        let output = Command::new(env!("CARGO_BIN_EXE_apical"))
            .args(&words(command)[1..])
            .stdin(input)
            .current_dir(root)
            .output()
            .expect("the program starts");
        let mut printed = String::from_utf8(output.stdout).expect("UTF-8");
        printed.push_str(&String::from_utf8(output.stderr).expect("UTF-8"));
        assert_eq!(
            printed.trim_end(),
            example.expected.trim_end(),
            "README.md:{}: {}",
            example.line,
            example.command
        );
    }
}

#[test]
fn commands_are_split_as_a_shell_would() {
    assert_eq!(
        words(r#"apical check '[a b]' "c'd" e"#),
        ["apical", "check", "[a b]", "c'd", "e"]
    );
}
