// Private to geometry/: guards the CAD kernel's process-wide state (static parameters, messenger).
#pragma once

#include <memory>
#include <mutex>
#include <string>

namespace noonshell {

/// One thread at a time may use the kernel's process-wide state.
std::mutex& kernel_mutex();

/// While one lives, the kernel prints nothing and its failure messages are kept. On destruction the
/// printers that were there before are put back. The caller holds kernel_mutex().
class OcctSession {
  public:
    OcctSession();
    ~OcctSession();
    OcctSession(const OcctSession&) = delete;
    OcctSession& operator=(const OcctSession&) = delete;

    /// Sets one of the kernel's static translation parameters; throws InvariantError if it is
    /// unknown or the value is not accepted.
    void set(const char* parameter, const char* value);

    /// First message of the kernel that reports a failure, on one line; empty when there was none.
    std::string first_failure() const;

  private:
    struct State;
    std::unique_ptr<State> state_;
};

}  // namespace noonshell
