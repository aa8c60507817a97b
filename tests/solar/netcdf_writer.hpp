// NetCDF files for tests, written by the library's own generator from text (ncgen of netcdf-bin).
#pragma once

#include <gtest/gtest.h>

#include <cstdlib>
#include <filesystem>
#include <functional>
#include <sstream>
#include <string>

#include "tests/support/scratch_folder.hpp"

namespace noonshell::test {

/// Writes `cdl` as a NetCDF file of the given kind ("nc3", "nc6", "nc4", "nc5").
inline std::filesystem::path write_netcdf(const test_support::ScratchFolder& folder,
                                          const std::string& cdl, const std::string& kind = "nc3",
                                          const std::string& name = "met.nc") {
    const std::string text = folder.write("met.cdl", cdl);
    const std::filesystem::path file = folder / name;
    const std::string command =
        "ncgen -k " + kind + " -o '" + file.string() + "' '" + text + "' 2>&1";
    const int status = std::system(command.c_str());
    EXPECT_EQ(status, 0) << "ncgen (package netcdf-bin) failed";
    return file;
}

/// `cdl` with other data for one variable.
inline std::string with_data(std::string cdl, const std::string& name,
                             const std::string& new_data) {
    const std::size_t begin = cdl.find("\n" + name + " = ") + 1, end = cdl.find(";\n", begin) + 2;
    EXPECT_GT(begin, 1u) << name;
    return cdl.replace(begin, end - begin, new_data);
}

/// "name = f(0), f(1), ... ;" for the data section.
inline std::string data(const std::string& name, int n, const std::function<double(int)>& value) {
    std::ostringstream text;
    text.precision(12);
    text << name << " = ";
    for (int i = 0; i < n; ++i) text << (i > 0 ? ", " : "") << value(i);
    text << " ;\n";
    return text.str();
}

}  // namespace noonshell::test
