//! `explain`: what a finding means, the rule behind it, what to do.

use crate::flags::ExplainArgs;
use crate::say::Say;
use crate::{DONE, NOT_PLANNED};
use diag::Code;
use settings::parse::nearest;

/// Prints one code, all of them, or their list.
pub fn run(say: &mut Say, args: &ExplainArgs) -> u8 {
    let Some(name) = &args.code else {
        for code in Code::all() {
            if args.all {
                one(say, code);
                say.out("");
            } else {
                let i = code.info();
                say.out(&format!("{:<24} {:<8} {}", i.name, i.severity.name(), i.title));
            }
        }
        return DONE;
    };
    match Code::from_name(name.trim()) {
        Some(code) => {
            one(say, code);
            DONE
        }
        None => {
            let all = Code::all();
            let near = nearest(name, all.iter().map(|c| c.name()));
            let hint = match near {
                Some(near) => format!("did you mean '{near}'?"),
                None => "run 'platewright explain' for the list.".to_owned(),
            };
            say.err(&format!("There is no finding code '{}'; {hint}", crate::say::plain(name)));
            NOT_PLANNED
        }
    }
}

fn one(say: &mut Say, code: Code) {
    let i = code.info();
    say.out(&format!("{} ({}): {}", i.name, i.severity.name(), i.title));
    say.out(&format!("  meaning: {}", i.meaning));
    say.out(&format!("  rule:    {}", i.rule));
    say.out(&format!("  to do:   {}", i.remedy));
}
