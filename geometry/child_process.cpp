#include "geometry/child_process.hpp"

#include <fcntl.h>
#include <poll.h>
#include <sys/prctl.h>
#include <sys/resource.h>
#include <sys/syscall.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <chrono>
#include <cmath>
#include <csignal>
#include <cstdint>
#include <cstring>
#include <string_view>
#include <system_error>

namespace noonshell {

namespace {

using Clock = std::chrono::steady_clock;

[[noreturn]] void throw_system_error(const char* what) {
    throw std::system_error(errno, std::generic_category(), what);
}

void write_all(int to, std::string_view bytes) {
    while (!bytes.empty()) {
        const ssize_t n = write(to, bytes.data(), bytes.size());
        if (n < 0 && errno == EINTR) continue;
        if (n <= 0) return;
        bytes.remove_prefix(static_cast<std::size_t>(n));
    }
}

/// Leaves the child at once: the parent's buffers and clean-up at exit are not its own to run.
[[noreturn]] void end_child() {
    while (true) syscall(SYS_exit_group, 0);
}

/// A crash in the child leaves neither a core file nor a word on the terminal, and the child does
/// not outlive its parent.
void prepare_child() {
    prctl(PR_SET_PDEATHSIG, SIGKILL);
    const rlimit no_core{0, 0};
    setrlimit(RLIMIT_CORE, &no_core);
    for (const int number : {SIGSEGV, SIGBUS, SIGFPE, SIGILL, SIGABRT}) {
        std::signal(number, SIG_DFL);
    }
    const int nowhere = open("/dev/null", O_WRONLY);
    if (nowhere >= 0) {
        dup2(nowhere, STDOUT_FILENO);
        dup2(nowhere, STDERR_FILENO);
    }
}

[[noreturn]] void be_the_child(int to_parent, const std::function<std::string()>& work) {
    prepare_child();
    const std::string bytes = work();
    const std::uint64_t size = bytes.size();
    std::array<char, sizeof size> header{};
    std::memcpy(header.data(), &size, sizeof size);
    write_all(to_parent, {header.data(), header.size()});
    write_all(to_parent, bytes);
    end_child();
}

/// Everything that comes until the other end is closed; false when time runs out first.
bool read_until_closed(int from, Clock::time_point deadline, std::string& bytes) {
    std::array<char, 1 << 16> block{};
    while (true) {
        const auto left =
            std::chrono::duration_cast<std::chrono::milliseconds>(deadline - Clock::now());
        if (left.count() <= 0) return false;
        pollfd ready{from, POLLIN, 0};
        constexpr long longest_wait_ms = 1000;
        const int n_ready =
            poll(&ready, 1, static_cast<int>(std::min<long>(left.count(), longest_wait_ms)));
        if (n_ready < 0 && errno != EINTR) throw_system_error("poll");
        if (n_ready <= 0) continue;
        const ssize_t n = read(from, block.data(), block.size());
        if (n < 0 && errno == EINTR) continue;
        if (n < 0) throw_system_error("read");
        if (n == 0) return true;
        bytes.append(block.data(), static_cast<std::size_t>(n));
    }
}

/// Takes the frame off; false when the child did not write all of it.
bool unframe(std::string& bytes) {
    std::uint64_t size = 0;
    if (bytes.size() < sizeof size) return false;
    std::memcpy(&size, bytes.data(), sizeof size);
    if (bytes.size() != sizeof size + size) return false;
    bytes.erase(0, sizeof size);
    return true;
}

std::string how_it_ended(int status) {
    if (!WIFSIGNALED(status)) return "it ended without a result";
    const int number = WTERMSIG(status);
    const char* name = sigdescr_np(number);
    return "it crashed (" + std::string(name == nullptr ? "unknown signal" : name) + ")";
}

/// Owns a child and the pipe from it; a child that still runs is stopped.
class Child {
  public:
    explicit Child(const std::function<std::string()>& work) {
        std::array<int, 2> pipe_ends{};
        if (pipe2(pipe_ends.data(), O_CLOEXEC) != 0) throw_system_error("pipe");
        from_ = pipe_ends[0];
        id_ = fork();
        if (id_ == 0) be_the_child(pipe_ends[1], work);
        close(pipe_ends[1]);
        if (id_ < 0) {
            close(from_);
            throw_system_error("fork");
        }
    }
    ~Child() {
        close(from_);
        if (id_ > 0) {
            kill(id_, SIGKILL);
            wait_for_end();
        }
    }
    Child(const Child&) = delete;
    Child& operator=(const Child&) = delete;

    int from() const { return from_; }

    int wait_for_end() {
        int status = 0;
        while (waitpid(id_, &status, 0) < 0 && errno == EINTR) {
        }
        id_ = -1;
        return status;
    }

  private:
    int from_ = -1;
    pid_t id_ = -1;
};

}  // namespace

std::string run_in_child(const std::function<std::string()>& work, double time_limit_s) {
    const auto limit = std::chrono::duration<double>(time_limit_s);
    const auto deadline = Clock::now() + std::chrono::duration_cast<Clock::duration>(limit);
    Child child(work);
    std::string bytes;
    if (!read_until_closed(child.from(), deadline, bytes)) {
        throw ChildFailure("it was stopped after " + std::to_string(std::lround(time_limit_s)) +
                           " s");
    }
    const int status = child.wait_for_end();
    if (!unframe(bytes)) throw ChildFailure(how_it_ended(status));
    return bytes;
}

}  // namespace noonshell
