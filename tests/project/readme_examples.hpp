// The worked examples of a Markdown file. An example is a console block below a mark:
//
//     <!-- example: inspect -->
//     ```console
//     $ build/noonshell inspect models/station.step
//     ...what the program prints...
//     ```
//
// Every line that begins with "$ " is a command; what follows, up to the next command or the end of
// the block, is what it prints on standard output. A line "[...]" stands for any number of lines.
// In a line that says how long something took ("took 3.1 s"), numbers may differ; everywhere else
// every word counts, and every number to its last place or 0.2 %.
#pragma once

#include <algorithm>
#include <cmath>
#include <regex>
#include <sstream>
#include <stdexcept>
#include <string>
#include <vector>

#include "tests/project/source_files.hpp"

namespace noonshell::project {

struct Command {
    std::string line;                  ///< as typed, without "$ "
    std::vector<std::string> printed;  ///< as the file shows it
    std::size_t line_number = 0;       ///< of the command, 1-based
};

struct Example {
    std::string name;
    std::vector<Command> commands;
};

/// Throws std::runtime_error for a mark without a console block, a block that does not end, an
/// example without a command, or a console block that shows the program without a mark.
inline std::vector<Example> examples_of(const std::string& markdown) {
    static const std::regex mark(R"(^<!-- example: ([a-z0-9-]+) -->\s*$)");
    const std::vector<std::string> lines = lines_of(markdown);
    const auto fail = [](std::size_t i, const std::string& what) {
        throw std::runtime_error("line " + std::to_string(i + 1) + ": " + what);
    };
    std::vector<Example> examples;
    for (std::size_t i = 0; i < lines.size(); ++i) {
        std::smatch match;
        const bool marked = std::regex_match(lines[i], match, mark);
        if (!marked) {
            if (lines[i].rfind("```console", 0) == 0) fail(i, "console block without a mark");
            continue;
        }
        Example example{match[1], {}};
        const std::size_t begin = i++;
        if (i == lines.size() || lines[i] != "```console")
            fail(begin, "mark without console block");
        for (++i; i < lines.size() && lines[i] != "```"; ++i) {
            if (lines[i].rfind("$ ", 0) == 0) {
                example.commands.push_back({lines[i].substr(2), {}, i + 1});
            } else if (example.commands.empty()) {
                fail(i, "output before the first command");
            } else {
                example.commands.back().printed.push_back(lines[i]);
            }
        }
        if (i == lines.size()) fail(begin, "block does not end");
        if (example.commands.empty()) fail(begin, "example without a command");
        examples.push_back(example);
    }
    return examples;
}

/// Whether two words stand for the same: equal, or numbers that differ by no more than one unit of
/// the last place shown or 0.2 %, whichever is more (processors round differently), or both tiny
/// remainders such as 3.6e-09, which are rounding itself; times of day within half an hour.
inline bool same_word(const std::string& shown, const std::string& seen) {
    if (shown == seen) return true;
    static const std::regex number(R"(([-+]?[0-9]+(?:\.([0-9]+))?)([^0-9e]*))");
    static const std::regex tiny(R"([0-9.]+e-(?:0[7-9]|[1-9][0-9])([^0-9]*))");
    std::smatch a, b;
    if (std::regex_match(shown, a, tiny) && std::regex_match(seen, b, tiny)) return a[1] == b[1];
    static const std::regex clock(R"(([0-9]{2}):([0-9]{2}))");
    if (std::regex_match(shown, a, clock) && std::regex_match(seen, b, clock)) {
        const auto minutes = [](const std::smatch& m) {
            return 60 * std::stoi(m[1]) + std::stoi(m[2]);
        };
        return std::abs(minutes(a) - minutes(b)) <= 30;
    }
    if (!std::regex_match(shown, a, number) || !std::regex_match(seen, b, number)) return false;
    const double x = std::stod(a[1]), y = std::stod(b[1]);
    const double unit = std::pow(10.0, -static_cast<double>(a[2].length()));
    return a[3] == b[3] && a[2].length() == b[2].length() &&
           std::abs(x - y) <= std::max(1.001 * unit, 2e-3 * std::abs(x));
}

/// Word by word; blanks only part words. Numbers of a line that says how long something took may
/// differ by any amount.
inline bool same_line(const std::string& shown, const std::string& seen) {
    static const std::regex says_duration(R"(\btook\b)"), number(R"([0-9]+(\.[0-9]+)?)");
    const auto prepared = [](const std::string& line) {
        return std::regex_search(line, says_duration) ? std::regex_replace(line, number, "#")
                                                      : line;
    };
    std::istringstream a(prepared(shown)), b(prepared(seen));
    std::string x, y;
    while (a >> x) {
        if (!(b >> y) || !same_word(x, y)) return false;
    }
    return !(b >> y);
}

/// Empty when `seen` is what `shown` promises, else the first line that differs, in words.
inline std::string difference(const std::vector<std::string>& shown,
                              const std::vector<std::string>& seen, std::size_t from_shown = 0,
                              std::size_t from_seen = 0) {
    for (; from_shown < shown.size(); ++from_shown, ++from_seen) {
        if (shown[from_shown] == "[...]") {
            for (std::size_t skip = from_seen; skip <= seen.size(); ++skip) {
                if (difference(shown, seen, from_shown + 1, skip).empty()) return "";
            }
            return "nothing printed is as shown below \"[...]\"";
        }
        if (from_seen >= seen.size())
            return "printed too little: \"" + shown[from_shown] + "\" is missing";
        if (!same_line(shown[from_shown], seen[from_seen])) {
            return "shown:   " + shown[from_shown] + "\nprinted: " + seen[from_seen];
        }
    }
    return from_seen < seen.size() ? "printed more: \"" + seen[from_seen] + "\"" : "";
}

}  // namespace noonshell::project
