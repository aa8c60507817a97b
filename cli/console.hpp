// Where a command writes: results to `out`, diagnostics and progress to `err`.
#pragma once

#include <ostream>
#include <string_view>

namespace noonshell {

struct Console {
    std::ostream& out;
    std::ostream& err;
    bool json = false;             ///< stdout holds one JSON document and nothing else
    bool quiet = false;            ///< no progress, no notes, no warnings on stderr
    bool verbose = false;          ///< notes on what is being done and what was taken by default
    bool err_is_terminal = false;  ///< bars are drawn only then

    /// "noonshell: <text>" on stderr when --verbose.
    void note(std::string_view text) const {
        if (verbose && !quiet) err << "noonshell: " << text << '\n';
    }
    /// "noonshell: warning: <text>" on stderr unless --quiet.
    void warn(std::string_view text) const {
        if (!quiet) err << "noonshell: warning: " << text << '\n';
    }
};

}  // namespace noonshell
