// Variables, attributes and numbers of a NetCDF file; the one door to the NetCDF library.
#pragma once

#include <cstddef>
#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace noonshell {

struct NetcdfDimension {
    std::string name;
    std::size_t size = 0;
};

struct NetcdfVariable {
    int id = 0;
    std::string name;
    std::vector<std::size_t>
        dimensions;  ///< indices into NetcdfFile::dimensions(), outermost first
    bool is_number = false;
};

/// A NetCDF file of any format (classic, 64-bit, HDF5), open for reading; its root group. Files are
/// not safe to read in two threads at once. Every reader throws InputError, in one line, for a file
/// that is damaged or no NetCDF.
class NetcdfFile {
  public:
    explicit NetcdfFile(const std::filesystem::path& file);
    ~NetcdfFile();
    NetcdfFile(const NetcdfFile&) = delete;
    NetcdfFile& operator=(const NetcdfFile&) = delete;

    const std::string& name() const { return name_; }
    const std::vector<NetcdfDimension>& dimensions() const { return dimensions_; }
    const std::vector<NetcdfVariable>& variables() const { return variables_; }
    const NetcdfVariable* variable(std::string_view name) const;

    /// An attribute of text, or of one number; nothing where it is not there or of another type.
    std::optional<std::string> text(const NetcdfVariable& variable, const char* attribute) const;
    std::optional<double> number(const NetcdfVariable& variable, const char* attribute) const;

    /// The block of `count` values from `start` on, one entry per dimension each, unpacked: times
    /// scale_factor plus add_offset; NaN for _FillValue (the library's own where none is stated),
    /// missing_value and values outside valid_min, valid_max or valid_range ([cf2023] sections 2.5
    /// and 8.1). At most 2^25 values.
    std::vector<double> read(const NetcdfVariable& variable, const std::vector<std::size_t>& start,
                             const std::vector<std::size_t>& count) const;
    std::vector<double> read(const NetcdfVariable& variable) const;  ///< all of it

  private:
    void list_contents();
    [[noreturn]] void fail(const std::string& entity, int status) const;
    std::vector<double> numbers(const NetcdfVariable& variable, const char* attribute) const;
    double fill_value(const NetcdfVariable& variable) const;
    void unpack(const NetcdfVariable& variable, std::vector<double>& values) const;

    std::string name_;
    int handle_ = -1;
    std::vector<NetcdfDimension> dimensions_;
    std::vector<NetcdfVariable> variables_;
};

}  // namespace noonshell
