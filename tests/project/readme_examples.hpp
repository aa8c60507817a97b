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
// every character counts.
#pragma once

#include <regex>
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

/// Numbers of a line that says how long something took become "#".
inline std::string without_durations(const std::string& line) {
    static const std::regex says_duration(R"(\btook\b)"), number(R"([0-9]+(\.[0-9]+)?)");
    return std::regex_search(line, says_duration) ? std::regex_replace(line, number, "#") : line;
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
        if (without_durations(shown[from_shown]) != without_durations(seen[from_seen])) {
            return "shown:   " + shown[from_shown] + "\nprinted: " + seen[from_seen];
        }
    }
    return from_seen < seen.size() ? "printed more: \"" + seen[from_seen] + "\"" : "";
}

}  // namespace noonshell::project
