// Messages of errors: one line, whatever stood in the file.
#include "geometry/diagnostics.hpp"

#include <gtest/gtest.h>

namespace noonshell {
namespace {

TEST(InputErrorMessage, NamesPlaceExpectedAndSeen) {
    const InputError error({.file = "a.toml", .line = 3, .column = 7, .entity = "site"}, "a number",
                           "\"x\"");
    EXPECT_STREQ(error.what(), "a.toml:3:7: site: expected a number, saw \"x\"");
}

TEST(InputErrorMessage, IsOneLineWhateverWasSeen) {
    const InputError error({.file = "a\nb.toml", .line = {}, .column = {}, .entity = "k\x7F"},
                           "a name", "\"x\r\n\ty\x1B[31m\"");
    EXPECT_STREQ(error.what(), "a b.toml: k : expected a name, saw \"x   y [31m\"");
    EXPECT_EQ(error.seen(), "\"x\r\n\ty\x1B[31m\"");  // as it was
}

}  // namespace
}  // namespace noonshell
