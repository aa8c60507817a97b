#include "cli/netcdf_output.hpp"

#include <netcdf.h>

#include <cmath>
#include <utility>

#include "geometry/diagnostics.hpp"

namespace noonshell {

namespace {

/// Higher levels take twice the time for a hundredth of the size.
constexpr int deflate_level = 4;

nc_type type_of(NetcdfOutput::Type type) {
    switch (type) {
        case NetcdfOutput::Type::f32:
            return NC_FLOAT;
        case NetcdfOutput::Type::f64:
            return NC_DOUBLE;
        case NetcdfOutput::Type::text:
            break;
    }
    return NC_STRING;
}

}  // namespace

NetcdfOutput::NetcdfOutput(const std::filesystem::path& file, std::string name)
    : name_(std::move(name)) {
    require(nc_create(file.c_str(), NC_NETCDF4 | NC_CLOBBER, &handle_));
}

NetcdfOutput::~NetcdfOutput() {
    if (handle_ >= 0) nc_close(handle_);
}

void NetcdfOutput::require(int status) const {
    if (status == NC_NOERR) return;
    throw InputError({name_, {}, {}, ""}, "a file that can be written", nc_strerror(status));
}

int NetcdfOutput::dimension(const std::string& name, std::size_t size) {
    int id = -1;
    require(nc_def_dim(handle_, name.c_str(), size, &id));
    return id;
}

int NetcdfOutput::variable(const std::string& name, Type type, const std::vector<int>& dimensions) {
    int id = -1;
    require(nc_def_var(handle_, name.c_str(), type_of(type), static_cast<int>(dimensions.size()),
                       dimensions.data(), &id));
    return id;
}

void NetcdfOutput::compress(int variable, const std::vector<std::size_t>& chunk) {
    require(nc_def_var_chunking(handle_, variable, NC_CHUNKED, chunk.data()));
    require(nc_def_var_deflate(handle_, variable, 1, 1, deflate_level));
}

void NetcdfOutput::allow_missing(int variable) {
    const float fill = NC_FILL_FLOAT;
    require(nc_def_var_fill(handle_, variable, NC_FILL, &fill));
}

void NetcdfOutput::attribute(const std::string& name, const std::string& text) {
    attribute(NC_GLOBAL, name, text);
}

void NetcdfOutput::attribute(int variable, const std::string& name, const std::string& text) {
    require(nc_put_att_text(handle_, variable, name.c_str(), text.size(), text.c_str()));
}

void NetcdfOutput::put(int variable, const std::vector<std::size_t>& start,
                       const std::vector<std::size_t>& count, std::vector<float> values) {
    for (float& value : values) {
        if (std::isnan(value)) value = NC_FILL_FLOAT;
    }
    require(nc_put_vara_float(handle_, variable, start.data(), count.data(), values.data()));
}

void NetcdfOutput::put(int variable, std::span<const double> values) {
    require(nc_put_var_double(handle_, variable, values.data()));
}

void NetcdfOutput::put(int variable, const std::vector<std::string>& all) {
    std::vector<const char*> texts;
    texts.reserve(all.size());
    for (const std::string& text : all) texts.push_back(text.c_str());
    require(nc_put_var_string(handle_, variable, texts.data()));
}

void NetcdfOutput::close() {
    require(nc_close(std::exchange(handle_, -1)));
}

}  // namespace noonshell
