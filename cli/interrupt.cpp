#include "cli/interrupt.hpp"

#include <unistd.h>

#include <csignal>
#include <string_view>

#include "geometry/diagnostics.hpp"

namespace noonshell {

namespace {

constexpr int status_interrupted = 130;

std::atomic<bool> raised{false};
std::atomic<bool> placing{false};
std::atomic<bool> nothing_at_stake{false};
std::atomic<bool> bar_may_stand{false};  ///< on standard error
static_assert(std::atomic<bool>::is_always_lock_free,
              "the handler may only touch lock-free atomics");

void say(std::string_view text) {
    if (write(STDERR_FILENO, text.data(), text.size()) < 0) return;  // there is no other place
}

extern "C" void on_interrupt(int) {
    const bool second = raised.exchange(true);
    if (nothing_at_stake.load()) {
        if (bar_may_stand.load()) say("\r\033[K");
        say("noonshell: error: interrupted\n");
        _exit(status_interrupted);
    }
    if (second && !placing.load()) _exit(status_interrupted);
}

/// What the caller had the program ignore (as nohup and background jobs do) stays ignored.
void handle_unless_ignored(int signal, const struct sigaction& action) {
    struct sigaction inherited = {};
    if (sigaction(signal, nullptr, &inherited) == 0 && inherited.sa_handler == SIG_IGN) return;
    sigaction(signal, &action, nullptr);
}

}  // namespace

const std::atomic<bool>& interrupt_flag() {
    return raised;
}

void install_interrupt_handlers() {
    bar_may_stand.store(isatty(STDERR_FILENO) == 1);
    struct sigaction action = {};
    action.sa_handler = on_interrupt;
    sigemptyset(&action.sa_mask);
    action.sa_flags = SA_RESTART;
    handle_unless_ignored(SIGINT, action);
    handle_unless_ignored(SIGTERM, action);
    // A full disk or a closed pipe shall be seen as an error of write(), not end the program.
    std::signal(SIGXFSZ, SIG_IGN);
    std::signal(SIGPIPE, SIG_IGN);
}

void throw_if_interrupted() {
    if (raised.load()) throw Interrupted();
}

NothingAtStake::NothingAtStake() {
    throw_if_interrupted();
    nothing_at_stake.store(true);
    // A signal between the two lines has raised the flag without ending the program.
    if (!raised.load()) return;
    nothing_at_stake.store(false);
    throw Interrupted();
}
NothingAtStake::~NothingAtStake() {
    nothing_at_stake.store(false);
}

ResultsBeingPlaced::ResultsBeingPlaced() {
    placing.store(true);
}
ResultsBeingPlaced::~ResultsBeingPlaced() {
    placing.store(false);
}

}  // namespace noonshell
