// Private to geometry/: runs work that may crash or hang in a process of its own.
#pragma once

#include <functional>
#include <stdexcept>
#include <string>

namespace noonshell {

/// The child ended without handing back its bytes; the message says how, in plain words.
class ChildFailure : public std::runtime_error {
  public:
    using std::runtime_error::runtime_error;
};

/// Runs `work` in a copy of this process and returns the bytes that it returns. Whatever the child
/// prints is lost. `work` must not throw. Throws ChildFailure when the child crashes or takes
/// longer than `time_limit_s`, std::system_error when no child can be started.
std::string run_in_child(const std::function<std::string()>& work, double time_limit_s);

}  // namespace noonshell
