#include "solar/netcdf_file.hpp"

#include <netcdf.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <fstream>
#include <limits>
#include <utility>

#include "geometry/diagnostics.hpp"
#include "geometry/step_prescan.hpp"
#include "solar/missing.hpp"

namespace noonshell {

namespace {

constexpr std::size_t most_values = std::size_t{1} << 25;
constexpr std::size_t longest_text = 1u << 16;
constexpr std::size_t most_entries = 10000;  // dimensions or variables of one file

/// Names and texts are bytes of any kind.
std::string clean(std::string text) {
    text.resize(std::min(text.size(), text.find('\0')));
    if (!is_valid_utf8(text))
        std::ranges::replace_if(
            text, [](char c) { return (c & 0x80) != 0; }, '?');
    std::ranges::replace_if(
        text, [](char c) { return (c >= 0 && c < ' ') || c == 0x7F; }, ' ');
    return text;
}

/// The library is handed nothing that does not begin as its files do.
void require_marks(const std::filesystem::path& file, const std::string& name) {
    const auto fail = [&](const char* expected, const char* seen) {
        throw InputError({.file = name, .line = {}, .column = {}, .entity = {}}, expected, seen);
    };
    std::error_code error;
    if (std::filesystem::is_directory(file, error)) fail("a file", "a folder");
    if (!std::filesystem::exists(file, error)) fail("a file", "nothing of that name");
    std::ifstream in(file, std::ios::binary);
    if (!in) fail("a readable file", "one that cannot be opened");
    std::array<char, 8> head{};
    in.read(head.data(), head.size());
    const std::string_view seen(head.data(), static_cast<std::size_t>(in.gcount()));
    const bool classic = seen.size() == 8 && seen.starts_with("CDF") &&
                         (seen[3] == 1 || seen[3] == 2 || seen[3] == 5);
    if (!classic && seen != "\x89HDF\r\n\x1A\n") fail("a NetCDF file", "a file of another kind");
}

bool is_number_type(nc_type type) {
    return type >= NC_BYTE && type <= NC_UINT64 && type != NC_CHAR;
}

}  // namespace

NetcdfFile::NetcdfFile(const std::filesystem::path& file) : name_(file.string()) {
    require_marks(file, name_);
    const int status = nc_open(name_.c_str(), NC_NOWRITE, &handle_);
    if (status != NC_NOERR) fail("", status);
    try {
        list_contents();
    } catch (...) {
        nc_close(handle_);
        throw;
    }
}

NetcdfFile::~NetcdfFile() {
    nc_close(handle_);
}

void NetcdfFile::fail(const std::string& entity, int status) const {
    throw InputError({.file = name_, .line = {}, .column = {}, .entity = entity},
                     "a sound NetCDF file", clean(nc_strerror(status)));
}

void NetcdfFile::list_contents() {
    int n_dimensions = 0, n_variables = 0;
    if (const int status = nc_inq(handle_, &n_dimensions, &n_variables, nullptr, nullptr))
        fail("", status);
    if (std::cmp_greater(std::max(n_dimensions, n_variables), most_entries)) fail("", NC_EMAXVARS);
    // Ids of dimensions of a root group count from 0 in order of definition.
    for (int id = 0; id < n_dimensions; ++id) {
        std::array<char, NC_MAX_NAME + 1> text{};
        NetcdfDimension dimension;
        if (const int status = nc_inq_dim(handle_, id, text.data(), &dimension.size))
            fail("", status);
        dimension.name = clean(text.data());
        dimensions_.push_back(dimension);
    }
    for (int id = 0; id < n_variables; ++id) {
        std::array<char, NC_MAX_NAME + 1> text{};
        std::array<int, NC_MAX_VAR_DIMS> of{};
        nc_type type = NC_NAT;
        int n = 0;
        if (const int status = nc_inq_varndims(handle_, id, &n)) fail("", status);
        if (n < 0 || n > NC_MAX_VAR_DIMS) fail("", NC_EMAXDIMS);
        if (const int status =
                nc_inq_var(handle_, id, text.data(), &type, nullptr, of.data(), nullptr))
            fail("", status);
        NetcdfVariable variable{id, clean(text.data()), {}, is_number_type(type)};
        for (int i = 0; i < n; ++i) {
            const int dimension = of[static_cast<std::size_t>(i)];
            if (dimension < 0 || dimension >= n_dimensions) fail(variable.name, NC_EBADDIM);
            variable.dimensions.push_back(static_cast<std::size_t>(dimension));
        }
        variables_.push_back(std::move(variable));
    }
}

const NetcdfVariable* NetcdfFile::variable(std::string_view name) const {
    const auto found = std::ranges::find(variables_, name, &NetcdfVariable::name);
    return found == variables_.end() ? nullptr : &*found;
}

std::optional<std::string> NetcdfFile::text(const NetcdfVariable& variable,
                                            const char* attribute) const {
    nc_type type = NC_NAT;
    std::size_t length = 0;
    if (nc_inq_att(handle_, variable.id, attribute, &type, &length) != NC_NOERR)
        return std::nullopt;
    if (type == NC_STRING && length == 1) {
        char* word = nullptr;
        if (nc_get_att_string(handle_, variable.id, attribute, &word) != NC_NOERR || !word)
            return std::nullopt;
        std::string text(word);
        nc_free_string(1, &word);
        return clean(std::move(text));
    }
    if (type != NC_CHAR || length > longest_text) return std::nullopt;
    std::string text(length, '\0');
    if (nc_get_att_text(handle_, variable.id, attribute, text.data()) != NC_NOERR)
        return std::nullopt;
    return clean(std::move(text));
}

std::vector<double> NetcdfFile::numbers(const NetcdfVariable& variable,
                                        const char* attribute) const {
    nc_type type = NC_NAT;
    std::size_t length = 0;
    if (nc_inq_att(handle_, variable.id, attribute, &type, &length) != NC_NOERR) return {};
    if (!is_number_type(type) || length == 0 || length > longest_text) return {};
    std::vector<double> values(length);
    const int status = nc_get_att_double(handle_, variable.id, attribute, values.data());
    return status == NC_NOERR ? values : std::vector<double>{};
}

std::optional<double> NetcdfFile::number(const NetcdfVariable& variable,
                                         const char* attribute) const {
    const std::vector<double> values = numbers(variable, attribute);
    return values.size() == 1 ? std::optional(values[0]) : std::nullopt;
}

double NetcdfFile::fill_value(const NetcdfVariable& variable) const {
    if (const auto stated = number(variable, "_FillValue")) return *stated;
    nc_type type = NC_NAT;
    if (const int status = nc_inq_vartype(handle_, variable.id, &type)) fail(variable.name, status);
    switch (type) {
        case NC_SHORT:
            return NC_FILL_SHORT;
        case NC_INT:
            return NC_FILL_INT;
        case NC_FLOAT:
            return static_cast<double>(NC_FILL_FLOAT);
        case NC_DOUBLE:
            return NC_FILL_DOUBLE;
        default:
            return missing;  // bytes may take all their values
    }
}

void NetcdfFile::unpack(const NetcdfVariable& variable, std::vector<double>& values) const {
    const double fill = fill_value(variable);
    const std::vector<double> marks = numbers(variable, "missing_value");
    std::vector<double> range = numbers(variable, "valid_range");
    if (range.size() != 2)
        range = {number(variable, "valid_min").value_or(-std::numeric_limits<double>::infinity()),
                 number(variable, "valid_max").value_or(std::numeric_limits<double>::infinity())};
    const double scale = number(variable, "scale_factor").value_or(1);
    const double offset = number(variable, "add_offset").value_or(0);
    for (double& value : values) {
        const bool is_missing = value == fill || std::ranges::find(marks, value) != marks.end() ||
                                !(value >= range[0] && value <= range[1]);
        value = is_missing ? missing : value * scale + offset;
    }
}

std::vector<double> NetcdfFile::read(const NetcdfVariable& variable,
                                     const std::vector<std::size_t>& start,
                                     const std::vector<std::size_t>& count) const {
    NOONSHELL_CHECK_EQ(start.size(), variable.dimensions.size());
    NOONSHELL_CHECK_EQ(count.size(), variable.dimensions.size());
    const InputPlace place{.file = name_, .line = {}, .column = {}, .entity = variable.name};
    if (!variable.is_number)
        throw InputError(place, "a variable of numbers", "one of another type");
    std::size_t n = 1;
    for (std::size_t i = 0; i < count.size(); ++i) {
        const std::size_t size = dimensions_[variable.dimensions[i]].size;
        NOONSHELL_CHECK_LE(start[i], size);
        NOONSHELL_CHECK_LE(count[i], size - start[i]);
        if (count[i] > 0 && n > most_values / count[i])
            throw InputError(place, "at most " + std::to_string(most_values) + " values", "more");
        n *= count[i];
    }
    std::vector<double> values(n);
    if (n == 0) return values;
    const int status =
        nc_get_vara_double(handle_, variable.id, start.data(), count.data(), values.data());
    if (status != NC_NOERR) fail(variable.name, status);
    unpack(variable, values);
    return values;
}

std::vector<double> NetcdfFile::read(const NetcdfVariable& variable) const {
    std::vector<std::size_t> count;
    for (const std::size_t dimension : variable.dimensions)
        count.push_back(dimensions_[dimension].size);
    return read(variable, std::vector<std::size_t>(count.size(), 0), count);
}

}  // namespace noonshell
