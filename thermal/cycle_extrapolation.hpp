// Where a state goes that a cycle changes a little less each time: heavy walls from day to day.
#pragma once

#include <span>
#include <vector>

namespace noonshell {

/// The limit of x[0], x[1], x[2] ..., each a state [C] one cycle after the one before, by reduced
/// rank extrapolation ([smith1987], from memory): the weights w, sum 1, whose sum of w[i] (x[i+1] -
/// x[i]) is smallest give the limit as that of w[i] x[i+1]. For n + 1 differences exact where a
/// linear cycle has n slow modes; of two it is the formula of Aitken for vectors. No entry goes
/// farther than 10 K from the last state, which is returned where there are less than three.
std::vector<double> extrapolated_c(std::span<const std::vector<double>> states_c);

/// How far the state of the last cycle is from where it settles [K], if every entry's change goes
/// on to shrink by the ratio of the last two changes; 3 states. Changes below 1e-5 K are counted as
/// none.
double left_to_settle_k(std::span<const double> before_c, std::span<const double> then_c,
                        std::span<const double> now_c);

/// The largest difference of an entry [K].
double largest_change_k(std::span<const double> a, std::span<const double> b);

}  // namespace noonshell
