#include "cli/interrupt.hpp"

#include <unistd.h>

#include <csignal>

#include "geometry/diagnostics.hpp"

namespace noonshell {

namespace {

constexpr int status_interrupted = 130;

std::atomic<bool> raised{false};
std::atomic<bool> placing{false};
static_assert(std::atomic<bool>::is_always_lock_free,
              "the handler may only touch lock-free atomics");

extern "C" void on_interrupt(int) {
    const bool second = raised.exchange(true);
    if (second && !placing.load()) _exit(status_interrupted);
}

}  // namespace

const std::atomic<bool>& interrupt_flag() {
    return raised;
}

void install_interrupt_handlers() {
    struct sigaction action = {};
    action.sa_handler = on_interrupt;
    sigemptyset(&action.sa_mask);
    action.sa_flags = SA_RESTART;
    sigaction(SIGINT, &action, nullptr);
    sigaction(SIGTERM, &action, nullptr);
    // A full disk or a closed pipe shall be seen as an error of write(), not end the program.
    std::signal(SIGXFSZ, SIG_IGN);
    std::signal(SIGPIPE, SIG_IGN);
}

void throw_if_interrupted() {
    if (raised.load()) throw Interrupted();
}

ResultsBeingPlaced::ResultsBeingPlaced() {
    placing.store(true);
}
ResultsBeingPlaced::~ResultsBeingPlaced() {
    placing.store(false);
}

}  // namespace noonshell
