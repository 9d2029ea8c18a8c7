//! The program.
fn main() {
    for line in std::io::stdin().lines().map_while(Result::ok) {
        let t = apical::notation::Transcription::parse(&line);
        println!("{line} {:?}", t.segments().map(|s| s.text()).collect::<Vec<_>>());
        for d in t.diagnostics() { println!("   {}..{} {} {:?} {} | {:?} | {:?}", d.span.start, d.span.end, d.code.name(), d.severity, d.message(&line), d.help(&line), d.replacement()); }
    }
}
