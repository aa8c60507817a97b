// A progress bar on stderr, drawn only on a terminal.
#pragma once

#include <chrono>
#include <functional>
#include <string>

#include "cli/console.hpp"

namespace noonshell {

/// One stage of work. The bar is wiped when the stage ends, whichever way it ends; with --verbose
/// the time it took is noted.
class Stage {
  public:
    Stage(const Console& console, std::string name);
    ~Stage();
    Stage(const Stage&) = delete;
    Stage& operator=(const Stage&) = delete;

    /// Shows the share done, 0 to 1; cheap to call often.
    void show(double share);

    /// The same as a callback; valid as long as the stage lives. Empty when no bar is drawn.
    std::function<void(double)> callback();

  private:
    bool drawn() const { return console_.err_is_terminal && !console_.quiet; }

    const Console& console_;
    std::string name_;
    std::chrono::steady_clock::time_point begin_;
    int last_percent_ = -1;
    int exceptions_at_begin_ = 0;
};

}  // namespace noonshell
