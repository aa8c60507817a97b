// The command line.
#pragma once

#include <ostream>

namespace noonshell {

/// Exit status of the program.
enum ExitStatus : int {
    status_done = 0,
    status_fault = 1,          ///< a fault of the program
    status_usage = 2,          ///< wrong usage
    status_input = 3,          ///< input that cannot be read or is out of range
    status_no_unit = 4,        ///< a model without a usable unit
    status_not_converged = 5,  ///< the computation did not converge
    status_interrupted = 130,
    status_broken_pipe = 141  ///< the reader of stdout is gone: 128 + SIGPIPE, as shells have it
};

/// Parses the command line and runs the command. Results go to `out`; "noonshell: error: ..." in
/// one line, progress and notes go to `err`; where nobody reads `out` any more, nothing is said.
/// Returns the exit status; nothing is thrown.
int run_cli(int argc, const char* const* argv, std::ostream& out, std::ostream& err);

}  // namespace noonshell
