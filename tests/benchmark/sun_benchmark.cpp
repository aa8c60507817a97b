// The sun's speed against the bare ray tracer in the same run, and its errors:
//   sun_benchmark [MEASURE ...] [--quick] [--check] [--repeat N]
// Measures: rays, year, settlement, threads, brute, coverage, preview, parts, step; all without a
// name. Times are the smallest of N (3) taken by turns, on two threads. --quick has fewer suns and
// seeds and a coarser settlement. --check ends with 1 when a value is past a limit of its own, two
// or three times the target for times, which other work on the machine moves.
//
// Every measure works in a child process of its own, so that each sees its own memory.
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cstdio>
#include <cstring>
#include <stdexcept>
#include <string>
#include <vector>

#include "tests/benchmark/sun_measures.hpp"

namespace noonshell::benchmark {
namespace {

struct NamedMeasure {
    const char* name;
    Measure measure;
};

constexpr std::array measures{
    NamedMeasure{"rays", measure_ray_rate},         NamedMeasure{"year", measure_year},
    NamedMeasure{"settlement", measure_settlement}, NamedMeasure{"threads", measure_threads},
    NamedMeasure{"brute", measure_brute_force},     NamedMeasure{"coverage", measure_coverage},
    NamedMeasure{"preview", measure_preview},       NamedMeasure{"parts", measure_parts},
    NamedMeasure{"step", measure_sun_step}};

struct Arguments {
    std::vector<std::string> names;
    MeasureOptions options;
    bool check = false;
};

Arguments parse(const std::vector<std::string>& words) {
    Arguments result;
    for (std::size_t i = 0; i < words.size(); ++i) {
        const std::string& word = words[i];
        if (word == "--quick") {
            result.options.quick = true;
        } else if (word == "--check") {
            result.check = true;
        } else if (word == "--repeat" && i + 1 < words.size()) {
            result.options.repeat = std::max(1, std::stoi(words[++i]));
        } else if (std::any_of(measures.begin(), measures.end(),
                               [&](const NamedMeasure& m) { return word == m.name; })) {
            result.names.push_back(word);
        } else {
            throw std::invalid_argument("unknown: " + word);
        }
    }
    return result;
}

/// What a child tells its parent about one row.
struct Message {
    char name[80] = {};
    double value = 0, target = 0, limit = 0;
    Measured::Wanted wanted = Measured::Wanted::at_least;
};

void tell(int channel, const std::vector<Measured>& rows) {
    for (const Measured& row : rows) {
        Message message;
        std::strncpy(message.name, row.name.c_str(), sizeof message.name - 1);
        message.value = row.value;
        message.target = row.target;
        message.limit = row.limit;
        message.wanted = row.wanted;
        if (write(channel, &message, sizeof message) != ssize_t(sizeof message)) _exit(1);
    }
}

std::vector<Measured> in_child(const NamedMeasure& named, const MeasureOptions& options) {
    std::printf("%s\n", named.name);
    std::fflush(stdout);
    int channel[2];
    if (pipe(channel) != 0) throw std::runtime_error("no pipe");
    const pid_t child = fork();
    if (child < 0) throw std::runtime_error("no child process");
    if (child == 0) {
        try {
            tell(channel[1], named.measure(options));
        } catch (const std::exception& error) {
            std::fprintf(stderr, "sun_benchmark: %s: %s\n", named.name, error.what());
            _exit(1);
        }
        std::fflush(stdout);
        _exit(0);
    }
    close(channel[1]);
    std::vector<Measured> rows;
    Message message;
    while (read(channel[0], &message, sizeof message) == ssize_t(sizeof message)) {
        rows.push_back(
            {message.name, message.value, message.wanted, message.target, message.limit});
    }
    close(channel[0]);
    int status = 0;
    waitpid(child, &status, 0);
    if (status != 0) throw std::runtime_error(std::string(named.name) + " failed");
    return rows;
}

bool print_table(const std::vector<Measured>& rows) {
    bool passed = true;
    std::printf("\n%-46s | %9s | %9s | %s\n", "measure", "value", "target", "met");
    for (const Measured& row : rows) {
        const bool least = row.wanted == Measured::Wanted::at_least;
        std::printf("%-46s | %9.3f | %2s %6.2f | %s\n", row.name.c_str(), row.value,
                    least ? ">=" : "<=", row.target, row.within(row.target) ? "yes" : "NO");
        passed = passed && row.within(row.limit);
    }
    return passed;
}

int run(const std::vector<std::string>& words) {
    const Arguments arguments = parse(words);
    std::vector<Measured> rows;
    for (const NamedMeasure& named : measures) {
        const auto& names = arguments.names;
        const bool chosen =
            names.empty() || std::find(names.begin(), names.end(), named.name) != names.end();
        if (!chosen) continue;
        const auto more = in_child(named, arguments.options);
        rows.insert(rows.end(), more.begin(), more.end());
    }
    const bool passed = print_table(rows);
    return arguments.check && !passed ? 1 : 0;
}

}  // namespace
}  // namespace noonshell::benchmark

int main(int n_arguments, char** arguments) {
    try {
        return noonshell::benchmark::run({arguments + 1, arguments + n_arguments});
    } catch (const std::exception& error) {
        std::fprintf(stderr, "sun_benchmark: %s\n", error.what());
        return 1;
    }
}
