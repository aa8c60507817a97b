#include "cli/progress.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <exception>
#include <utility>

namespace noonshell {

namespace {

constexpr int bar_cells = 30;

}  // namespace

Stage::Stage(const Console& console, std::string name)
    : console_(console),
      name_(std::move(name)),
      begin_(std::chrono::steady_clock::now()),
      exceptions_at_begin_(std::uncaught_exceptions()) {
    show(0);
}

Stage::~Stage() {
    if (drawn()) console_.err << "\r\033[K" << std::flush;
    if (std::uncaught_exceptions() > exceptions_at_begin_) return;
    const std::chrono::duration<double> spent = std::chrono::steady_clock::now() - begin_;
    console_.note(fmt::format("{}: {:.2f} s", name_, spent.count()));
}

void Stage::show(double share) {
    if (!drawn() || !std::isfinite(share)) return;
    const int percent = static_cast<int>(100 * std::clamp(share, 0.0, 1.0));
    if (percent == last_percent_) return;
    last_percent_ = percent;
    const int full = percent * bar_cells / 100;
    console_.err << fmt::format("\r\033[K{:<24} [{:#<{}}{:.<{}}] {:3d} %", name_, "", full, "",
                                bar_cells - full, percent)
                 << std::flush;
}

std::function<void(double)> Stage::callback() {
    if (!drawn()) return {};
    return [this](double share) { show(share); };
}

}  // namespace noonshell
