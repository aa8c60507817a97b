// models/station.step is what models/make_station.cpp writes, byte for byte.
#include <gtest/gtest.h>

#include <cstdlib>
#include <string>

#include "tests/project/source_files.hpp"
#include "tests/support/scratch_folder.hpp"

namespace noonshell::project {
namespace {

TEST(StationFile, IsWhatItsProgramWrites) {
    const test_support::ScratchFolder scratch;
    const std::filesystem::path fresh = scratch / "station.step";
    const std::string command =
        std::string("\"") + NOONSHELL_BINARY_DIR + "/make_station\" \"" + fresh.string() + "\"";
    ASSERT_EQ(std::system(command.c_str()), 0) << command;
    const bool same = read_text(fresh) == read_text(std::filesystem::path(NOONSHELL_SOURCE_DIR) /
                                                    "models" / "station.step");
    EXPECT_TRUE(same) << "write it anew: build/make_station models/station.step";
}

}  // namespace
}  // namespace noonshell::project
