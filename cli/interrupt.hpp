// Ctrl-C and termination as a flag that long computations poll.
#pragma once

#include <atomic>

namespace noonshell {

/// Turns true at the first SIGINT or SIGTERM after install_interrupt_handlers().
const std::atomic<bool>& interrupt_flag();

/// The first signal raises the flag. A second one ends the program at once with status 130, unless
/// results are being put in place just then (ResultsBeingPlaced). A signal that was ignored when
/// the program started stays ignored.
void install_interrupt_handlers();

/// Throws Interrupted when the flag is up.
void throw_if_interrupted();

/// While one lives, the first signal ends the program at once, with status 130 and the line that an
/// Interrupted gets: for work that leaves nothing behind and cannot poll a flag.
class NothingAtStake {
  public:
    /// Throws Interrupted when the flag is up already.
    NothingAtStake();
    ~NothingAtStake();
    NothingAtStake(const NothingAtStake&) = delete;
    NothingAtStake& operator=(const NothingAtStake&) = delete;
};

/// While one lives, no signal ends the program: files are moved into place together.
class ResultsBeingPlaced {
  public:
    ResultsBeingPlaced();
    ~ResultsBeingPlaced();
    ResultsBeingPlaced(const ResultsBeingPlaced&) = delete;
    ResultsBeingPlaced& operator=(const ResultsBeingPlaced&) = delete;
};

}  // namespace noonshell
