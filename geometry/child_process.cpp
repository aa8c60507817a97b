#include "geometry/child_process.hpp"

#include <fcntl.h>
#include <poll.h>
#include <sys/mman.h>
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
#include <cstdlib>
#include <cstring>
#include <fstream>
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

/// Text that the child leaves for its parent: a page that both see.
class SharedWords {
  public:
    static constexpr std::size_t size = 256;

    SharedWords() {
        void* page = mmap(nullptr, size, PROT_READ | PROT_WRITE, MAP_SHARED | MAP_ANONYMOUS, -1, 0);
        if (page == MAP_FAILED) throw_system_error("mmap");
        text_ = static_cast<char*>(page);
    }
    ~SharedWords() { munmap(text_, size); }
    SharedWords(const SharedWords&) = delete;
    SharedWords& operator=(const SharedWords&) = delete;

    char* text() const { return text_; }

  private:
    char* text_ = nullptr;
};

/// For the signal handler, which can be handed nothing; set in the child only.
LastWords words_of_this_child = nullptr;
char* place_of_words = nullptr;

constexpr const char* short_of_memory_words = ", perhaps short of memory";

void speak_and_die(int number) {
    if (words_of_this_child != nullptr) words_of_this_child(place_of_words, SharedWords::size);
    if (memory_was_short()) {
        const std::size_t n = strnlen(place_of_words, SharedWords::size - 1);
        std::strncpy(place_of_words + n, short_of_memory_words, SharedWords::size - 1 - n);
    }
    std::signal(number, SIG_DFL);
    raise(number);
}

/// The handler has a stack of its own, for a crash may be the end of the stack.
void arrange_last_words(LastWords last_words, char* place) {
    words_of_this_child = last_words;
    place_of_words = place;
    static std::array<char, 1 << 16> stack;
    stack_t other{};
    other.ss_sp = stack.data();
    other.ss_size = stack.size();
    sigaltstack(&other, nullptr);
    struct sigaction action {};
    action.sa_handler = speak_and_die;
    action.sa_flags = static_cast<int>(SA_ONSTACK | SA_RESETHAND | SA_NODEFER);
    for (const int number : {SIGSEGV, SIGBUS, SIGFPE, SIGILL, SIGABRT, SIGTERM}) {
        sigaction(number, &action, nullptr);
    }
}

/// Address space of this process now; 0 where the system does not say.
[[maybe_unused]] std::uint64_t address_space_bytes() {
    std::uint64_t pages = 0;
    std::ifstream("/proc/self/statm") >> pages;
    return pages * static_cast<std::uint64_t>(sysconf(_SC_PAGESIZE));
}

void limit_memory(std::uint64_t more_bytes) {
#if defined(NOONSHELL_SANITIZED)
    (void)more_bytes;  // its shadow memory alone is far beyond any limit
#else
    if (more_bytes == 0) return;
    const rlim_t most = address_space_bytes() + more_bytes;
    const rlimit limit{most, most};
    setrlimit(RLIMIT_AS, &limit);
#endif
}

/// A crash in the child leaves neither a core file nor a word on the terminal, and the child does
/// not outlive its parent.
void prepare_child() {
    prctl(PR_SET_PDEATHSIG, SIGKILL);
    const rlimit no_core{0, 0};
    setrlimit(RLIMIT_CORE, &no_core);
    const int nowhere = open("/dev/null", O_WRONLY);
    if (nowhere >= 0) {
        dup2(nowhere, STDOUT_FILENO);
        dup2(nowhere, STDERR_FILENO);
    }
}

[[noreturn]] void be_the_child(int to_parent, const std::function<std::string()>& work,
                               const ChildLimits& limits, LastWords last_words, char* words) {
    prepare_child();
    arrange_last_words(last_words, words);
    limit_memory(limits.memory_bytes);
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
    Child(const std::function<std::string()>& work, const ChildLimits& limits,
          LastWords words_at_end) {
        std::array<int, 2> pipe_ends{};
        if (pipe2(pipe_ends.data(), O_CLOEXEC) != 0) throw_system_error("pipe");
        from_ = pipe_ends[0];
        id_ = fork();
        if (id_ == 0) {
            be_the_child(pipe_ends[1], work, limits, words_at_end, words_.text());
        }
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

    /// What the child said at its end, with a blank before it; empty when it said nothing.
    std::string last_words() const {
        const std::string_view text(words_.text(), strnlen(words_.text(), SharedWords::size));
        return text.empty() ? std::string{} : " " + std::string(text);
    }

    /// Asks the child to stop, so that it can say its last words, and waits a moment for it.
    void ask_to_stop() {
        kill(id_, SIGTERM);
        for (int i = 0; i < 100; ++i) {
            int status = 0;
            if (waitpid(id_, &status, WNOHANG) == id_) {
                id_ = -1;
                return;
            }
            usleep(2000);
        }
    }

    int wait_for_end() {
        int status = 0;
        while (waitpid(id_, &status, 0) < 0 && errno == EINTR) {
        }
        id_ = -1;
        return status;
    }

  private:
    SharedWords words_;
    int from_ = -1;
    pid_t id_ = -1;
};

}  // namespace

bool memory_was_short() {
    rlimit limit{};
    if (getrlimit(RLIMIT_AS, &limit) != 0 || limit.rlim_cur == RLIM_INFINITY) return false;
    const int file = open("/proc/self/status", O_RDONLY | O_CLOEXEC);
    if (file < 0) return false;
    std::array<char, 4096> text{};
    const ssize_t n = read(file, text.data(), text.size() - 1);
    close(file);
    if (n <= 0) return false;
    const char* peak = std::strstr(text.data(), "VmPeak:");
    if (peak == nullptr) return false;
    constexpr rlim_t bytes_per_kib = 1024;
    const rlim_t most = std::strtoull(peak + std::strlen("VmPeak:"), nullptr, 10) * bytes_per_kib;
    // A list that grows asks for up to twice its size while the old one still stands.
    return most > limit.rlim_cur / 3;
}

std::string run_in_child(const std::function<std::string()>& work, const ChildLimits& limits,
                         LastWords last_words) {
    const auto limit = std::chrono::duration<double>(limits.time_s);
    const auto deadline = Clock::now() + std::chrono::duration_cast<Clock::duration>(limit);
    Child child(work, limits, last_words);
    std::string bytes;
    if (!read_until_closed(child.from(), deadline, bytes)) {
        child.ask_to_stop();
        throw ChildFailure("it was stopped after " + std::to_string(std::lround(limits.time_s)) +
                               " s" + child.last_words(),
                           false);
    }
    const int status = child.wait_for_end();
    if (!unframe(bytes)) {
        const bool short_of_memory =
            child.last_words().find(short_of_memory_words) != std::string::npos;
        throw ChildFailure(how_it_ended(status) + child.last_words(),
                           WIFSIGNALED(status) && !short_of_memory);
    }
    return bytes;
}

}  // namespace noonshell
