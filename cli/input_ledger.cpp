#include "cli/input_ledger.hpp"

#include <fmt/format.h>

namespace noonshell {

namespace {

struct AsText {
    std::string operator()(bool value) const { return value ? "true" : "false"; }
    std::string operator()(double value) const { return fmt::format("{}", value); }
    std::string operator()(const std::string& value) const { return value; }
    std::string operator()(const std::vector<double>& values) const {
        return fmt::format("[{}]", fmt::join(values, ", "));
    }
    std::string operator()(const std::vector<std::string>& values) const {
        return fmt::format("[{}]", fmt::join(values, ", "));
    }
};

}  // namespace

std::string to_text(const InputValue& value) {
    return std::visit(AsText{}, value);
}

std::string_view to_string(InputOrigin origin) {
    switch (origin) {
        case InputOrigin::site_file:
            return "site file";
        case InputOrigin::other_file:
            return "other file";
        case InputOrigin::command_line:
            return "command line";
        case InputOrigin::by_default:
            break;
    }
    return "default";
}

}  // namespace noonshell
