// Pieces that the pages of a run share.
#pragma once

#include <string>

#include "cli/run_analysis.hpp"

namespace noonshell {

std::string number(double value, int decimals = 0);

/// Three digits, whatever the size: a design day's figures are a hundredth of a year's.
std::string three_digits(double value);

/// Model, place, period and size; that it is a preview.
std::string head_of(const RunResult& result);

/// How sure the sun is.
std::string accuracy_of(const RunResult& result);

/// Choices that hold by former names; empty without an earlier version.
std::string carried_over_of(const RunResult& result, bool every_one);

std::string balance_of(const RunResult& result);

/// The inputs that no file gave; with the sun alone, those that bear on it.
std::string defaults_of(const RunResult& result);

}  // namespace noonshell
