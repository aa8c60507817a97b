// Every input of a run with where it came from: the site file, another file, the command line, or a
// stated default.
#pragma once

#include <string>
#include <string_view>
#include <variant>
#include <vector>

namespace noonshell {

using InputValue =
    std::variant<bool, double, std::string, std::vector<double>, std::vector<std::string>>;

enum class InputOrigin { site_file, other_file, command_line, by_default };

struct InputRecord {
    std::string key;  ///< dotted, with its unit: "room.cooling_set_point_c"
    InputValue value;
    InputOrigin origin = InputOrigin::by_default;
    std::string source;  ///< the place in the file, or why the default is what it is
};

std::string to_text(const InputValue& value);
std::string_view to_string(InputOrigin origin);

}  // namespace noonshell
