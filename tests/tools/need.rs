//! What a test needs of the machine, and what is reported where it lacks.

use libtest_mimic::{Completion, Trial};

#[derive(Clone, Copy)]
pub struct Need {
    pub met: fn() -> bool,
    /// What to do to have it.
    pub wanted: &'static str,
    /// With `CI=true` it must be there: then its lack is a failure.
    pub in_ci: bool,
}

/// Tests of a module that need the same.
pub fn of_module(need: Need, module: &str, tests: &[(&str, fn())]) -> Vec<Trial> {
    let module = module.trim_start_matches("tools::");
    let named = tests.iter().map(|(name, test)| (format!("{module}::{name}"), *test));
    named.map(|(name, test)| Trial::ignorable_test(name, move || need.then(test))).collect()
}

impl Need {
    fn then(self, test: fn()) -> Result<Completion, libtest_mimic::Failed> {
        if (self.met)() {
            test();
            Ok(Completion::Completed)
        } else if self.in_ci && std::env::var("CI").is_ok_and(|ci| ci == "true") {
            Err(format!("can't run; {}", self.wanted).into())
        } else {
            Ok(Completion::ignored_with(format!("to have it run, {}", self.wanted)))
        }
    }
}

/// `trials![NEED; test, test]`
macro_rules! trials {
    ($need:expr; $($test:ident),+ $(,)?) => {
        $crate::need::of_module($need, module_path!(), &[$((stringify!($test), $test as fn())),+])
    };
}
pub(crate) use trials;
