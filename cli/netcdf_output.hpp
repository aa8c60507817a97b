// A NetCDF-4 file that is written; the one door to the library for writing.
#pragma once

#include <cstddef>
#include <filesystem>
#include <span>
#include <string>
#include <vector>

namespace noonshell {

/// Dimensions, variables and attributes are made first, then values are put. Every member throws
/// InputError with the file's name and what the library said (a full disk, say).
class NetcdfOutput {
  public:
    enum class Type { f32, f64, text };

    /// Makes the file; `name` stands for it in messages.
    NetcdfOutput(const std::filesystem::path& file, std::string name);
    ~NetcdfOutput();
    NetcdfOutput(const NetcdfOutput&) = delete;
    NetcdfOutput& operator=(const NetcdfOutput&) = delete;

    int dimension(const std::string& name, std::size_t size);
    /// `dimensions` outermost first; none for a single value.
    int variable(const std::string& name, Type type, const std::vector<int>& dimensions);
    /// Stores it in chunks of these sizes, bytes shuffled and deflated. Without loss.
    void compress(int variable, const std::vector<std::size_t>& chunk);
    /// What stands for "no value" of an f32 variable: the library's own fill value.
    void allow_missing(int variable);

    void attribute(const std::string& name, const std::string& text);  ///< of the whole file
    void attribute(int variable, const std::string& name, const std::string& text);

    /// A block that begins at `start`, `count` of each dimension. NaN is stored as missing.
    void put(int variable, const std::vector<std::size_t>& start,
             const std::vector<std::size_t>& count, std::vector<float> values);
    void put(int variable, std::span<const double> values);       ///< all of it
    void put(int variable, const std::vector<std::string>& all);  ///< all of it

    /// Writes what is still held back. Without it the file is not whole.
    void close();

  private:
    void require(int status) const;

    std::string name_;
    int handle_ = -1;
};

}  // namespace noonshell
