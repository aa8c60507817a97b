// Puts the answers of two runs over parts of one period together.
#pragma once

#include "thermal/response.hpp"

namespace noonshell {

/// `other` holds the same building over other hours of the same period: its hourly arrays have the
/// period's size and zeros where it did not run, as have those of `to`. Peaks keep the larger,
/// sums add, warnings follow each other; worst_change_k is left to the caller.
void join(const Response& other, Response& to);

}  // namespace noonshell
