// The solver's door: small programmes whose solutions are known by hand, and what comes of those
// without one.
#include "thermal/integer_programme.hpp"

#include <gtest/gtest.h>

#include <limits>

#include "geometry/diagnostics.hpp"

namespace noonshell {
namespace {

/// The textbook knapsack: 4 things of worth 10, 40, 30, 50 and weight 5, 4, 6, 3; 10 may be
/// carried. Best are the second and the fourth, 90, by hand.
IntegerProgramme knapsack() {
    IntegerProgramme programme;
    for (const auto& [worth, weight] :
         {std::pair{0.10, 5.0}, std::pair{0.40, 4.0}, std::pair{0.30, 6.0}, std::pair{0.50, 3.0}}) {
        programme.add(0, weight);
        programme.end_column(worth);
    }
    programme.n_integer = 4;
    programme.row_lowest = {-std::numeric_limits<double>::max()};
    programme.row_highest = {10};
    return programme;
}

TEST(IntegerProgramme, FindsWhatIsBestByHand) {
    const IntegerSolution found = solved(knapsack());
    ASSERT_EQ(found.column.size(), 4u);
    EXPECT_NEAR(found.objective, 0.9, 1e-9);
    EXPECT_NEAR(found.bound, 0.9, 1e-8);
    EXPECT_NEAR(found.column[0] + found.column[2], 0, 1e-9);
    EXPECT_NEAR(found.column[1] + found.column[3], 2, 1e-9);
}

// Without whole numbers the third would be cut: half of what is left after 4 + 3.
TEST(IntegerProgramme, LeavesTheOtherColumnsInParts) {
    IntegerProgramme programme = knapsack();
    programme.n_integer = 0;
    EXPECT_NEAR(solved(programme).objective, 0.9 + 0.5 * 0.3, 1e-9);
}

TEST(IntegerProgramme, PrintsNothing) {
    testing::internal::CaptureStdout();
    solved(knapsack());
    EXPECT_EQ(testing::internal::GetCapturedStdout(), "");
}

TEST(IntegerProgramme, SaysWhereThereIsNoSolution) {
    IntegerProgramme programme = knapsack();
    programme.row_lowest = {30};  // more than all weigh
    programme.row_highest = {40};
    EXPECT_THROW(solved(programme), ConvergenceError);
}

}  // namespace
}  // namespace noonshell
