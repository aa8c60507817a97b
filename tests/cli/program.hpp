// Runs the built program in a child process and gives back what it printed and how it ended.
#pragma once

#include <fcntl.h>
#include <gtest/gtest.h>
#include <poll.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <atomic>
#include <csignal>
#include <filesystem>
#include <fstream>
#include <map>
#include <sstream>
#include <stdexcept>
#include <string>
#include <thread>
#include <vector>

#include "tests/support/scratch_folder.hpp"

namespace noonshell::test {

struct Outcome {
    int status = -1;  ///< exit status; -1 when a signal ended the program
    std::string out, err;
};

struct Limits {
    rlim_t largest_file_bytes = RLIM_INFINITY;
    std::string out_file{};              ///< standard output goes here instead of into Outcome::out
    bool without_reader = false;         ///< standard output is a pipe that nobody reads
    std::vector<int> ignored_signals{};  ///< as nohup leaves them
};

/// A program that is still running.
class Program {
  public:
    explicit Program(std::vector<std::string> arguments, const Limits& limits = {}) {
        if (pipe(out_.data()) != 0 || pipe(err_.data()) != 0) throw std::runtime_error("no pipe");
        // Ignored before there is a child: a signal may come at once.
        std::map<int, void (*)(int)> before;
        for (const int signal : limits.ignored_signals)
            before[signal] = std::signal(signal, SIG_IGN);
        child_ = fork();
        if (child_ == 0) become(std::move(arguments), limits);
        for (const auto& [signal, handler] : before) std::signal(signal, handler);
        close(out_[1]);
        close(err_[1]);
        // A full pipe would stop the child: both are drained all the time.
        drains_.emplace_back([this] { drain(out_[0], outcome_.out); });
        drains_.emplace_back([this] { drain(err_[0], outcome_.err); });
    }
    Program(const Program&) = delete;
    Program& operator=(const Program&) = delete;

    void send(int signal) const { kill(child_, signal); }

    Outcome wait() {
        int state = 0;
        waitpid(child_, &state, 0);
        for (std::thread& drain : drains_) drain.join();
        outcome_.status = WIFEXITED(state) ? WEXITSTATUS(state) : -1;
        return outcome_;
    }

  private:
    [[noreturn]] void become(std::vector<std::string> arguments, const Limits& limits) const {
        dup2(out_[1], STDOUT_FILENO);
        dup2(err_[1], STDERR_FILENO);
        for (const int end : {out_[0], out_[1], err_[0], err_[1]}) close(end);
        if (!limits.out_file.empty()) dup2(open(limits.out_file.c_str(), O_WRONLY), STDOUT_FILENO);
        if (limits.without_reader) {
            std::array<int, 2> pipe_ends{};
            if (pipe(pipe_ends.data()) != 0) _exit(127);
            close(pipe_ends[0]);
            dup2(pipe_ends[1], STDOUT_FILENO);
            close(pipe_ends[1]);
        }
        const rlimit size{limits.largest_file_bytes, limits.largest_file_bytes};
        setrlimit(RLIMIT_FSIZE, &size);
        arguments.insert(arguments.begin(), NOONSHELL_BINARY_DIR "/noonshell");
        std::vector<char*> argv;
        for (std::string& argument : arguments) argv.push_back(argument.data());
        argv.push_back(nullptr);
        execv(argv[0], argv.data());
        _exit(127);
    }

    static void drain(int end, std::string& text) {
        std::array<char, 4096> buffer{};
        while (true) {
            const ssize_t n = read(end, buffer.data(), buffer.size());
            if (n <= 0) break;
            text.append(buffer.data(), static_cast<std::size_t>(n));
        }
        close(end);
    }

    std::array<int, 2> out_{}, err_{};
    pid_t child_ = 0;
    Outcome outcome_;
    std::vector<std::thread> drains_;
};

inline Outcome run_program(std::vector<std::string> arguments, const Limits& limits = {}) {
    return Program(std::move(arguments), limits).wait();
}

using Folder = test_support::ScratchFolder;

inline std::string content_of(const std::filesystem::path& file) {
    std::ifstream stream(file, std::ios::binary);
    std::ostringstream text;
    text << stream.rdbuf();
    return text.str();
}

/// Every file below a folder with its bytes: equal maps mean that nothing was touched or left over.
inline std::map<std::string, std::string> bytes_below(const std::filesystem::path& folder) {
    std::map<std::string, std::string> bytes;
    if (!std::filesystem::exists(folder)) return bytes;
    for (const auto& entry : std::filesystem::recursive_directory_iterator(folder)) {
        const std::string name = entry.path().lexically_relative(folder).string();
        bytes[name] = entry.is_regular_file() ? content_of(entry.path()) : "folder";
    }
    return bytes;
}

/// The folder holds the same files as before, byte for byte, and no other.
inline void expect_same_files(const std::map<std::string, std::string>& before,
                              const std::filesystem::path& folder) {
    const auto now = bytes_below(folder);
    for (const auto& [name, bytes] : now) {
        const auto earlier = before.find(name);
        ASSERT_TRUE(earlier != before.end()) << name << " is new";
        EXPECT_TRUE(earlier->second == bytes) << name << " differs";
    }
    for (const auto& [name, bytes] : before) EXPECT_EQ(now.count(name), 1u) << name << " is gone";
}

/// One line "noonshell: error: ..." and nothing else.
inline void expect_one_error_line(const Outcome& outcome, const std::string& part) {
    EXPECT_EQ(outcome.err.rfind("noonshell: error: ", 0), 0u) << outcome.err;
    EXPECT_EQ(std::count(outcome.err.begin(), outcome.err.end(), '\n'), 1) << outcome.err;
    EXPECT_NE(outcome.err.find(part), std::string::npos) << outcome.err << "lacks: " << part;
}

}  // namespace noonshell::test
