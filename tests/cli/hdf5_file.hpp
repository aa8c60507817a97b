// NetCDF-4 files as what they are underneath, HDF5, read by the HDF Group's own library: none of
// the code that wrote them has a part in it.
#pragma once

#include <gtest/gtest.h>
#include <hdf5.h>

#include <filesystem>
#include <string>
#include <vector>

namespace noonshell::test {

class Hdf5File {
  public:
    explicit Hdf5File(const std::filesystem::path& file)
        : file_(H5Fopen(file.c_str(), H5F_ACC_RDONLY, H5P_DEFAULT)) {
        EXPECT_GE(file_, 0) << file;
    }
    ~Hdf5File() { H5Fclose(file_); }
    Hdf5File(const Hdf5File&) = delete;
    Hdf5File& operator=(const Hdf5File&) = delete;

    bool has(const std::string& name) const {
        return H5Lexists(file_, name.c_str(), H5P_DEFAULT) > 0;
    }

    std::vector<hsize_t> shape(const std::string& name) const {
        const hid_t set = open(name), space = H5Dget_space(set);
        std::vector<hsize_t> sizes(static_cast<std::size_t>(H5Sget_simple_extent_ndims(space)));
        if (!sizes.empty()) H5Sget_simple_extent_dims(space, sizes.data(), nullptr);
        H5Sclose(space);
        H5Dclose(set);
        return sizes;
    }

    std::vector<double> numbers(const std::string& name) const {
        std::size_t n = 1;
        for (const hsize_t size : shape(name)) n *= size;
        std::vector<double> values(n);
        const hid_t set = open(name);
        EXPECT_GE(H5Dread(set, H5T_NATIVE_DOUBLE, H5S_ALL, H5S_ALL, H5P_DEFAULT, values.data()), 0);
        H5Dclose(set);
        return values;
    }

    std::vector<std::string> texts(const std::string& name) const {
        std::vector<char*> raw(shape(name).at(0));
        const hid_t set = open(name), type = H5Dget_type(set), space = H5Dget_space(set);
        EXPECT_GE(H5Dread(set, type, H5S_ALL, H5S_ALL, H5P_DEFAULT, raw.data()), 0);
        std::vector<std::string> values(raw.begin(), raw.end());
        H5Dvlen_reclaim(type, space, H5P_DEFAULT, raw.data());
        H5Sclose(space);
        H5Tclose(type);
        H5Dclose(set);
        return values;
    }

    /// Of a variable, or of the file where `name` is "/".
    std::string attribute(const std::string& name, const std::string& key) const {
        if (H5Aexists_by_name(file_, name.c_str(), key.c_str(), H5P_DEFAULT) <= 0) return {};
        const hid_t at =
            H5Aopen_by_name(file_, name.c_str(), key.c_str(), H5P_DEFAULT, H5P_DEFAULT);
        const hid_t type = H5Aget_type(at);
        std::string text(H5Tget_size(type), '\0');
        EXPECT_GE(H5Aread(at, type, text.data()), 0);
        H5Tclose(type);
        H5Aclose(at);
        return text.substr(0, text.find('\0'));
    }

    double fill_value(const std::string& name) const {
        double value = 0;
        const hid_t at =
            H5Aopen_by_name(file_, name.c_str(), "_FillValue", H5P_DEFAULT, H5P_DEFAULT);
        EXPECT_GE(H5Aread(at, H5T_NATIVE_DOUBLE, &value), 0);
        H5Aclose(at);
        return value;
    }

    /// Chunk sizes; none where the variable lies in one piece.
    std::vector<hsize_t> chunk(const std::string& name) const {
        const hid_t set = open(name), how = H5Dget_create_plist(set);
        std::vector<hsize_t> sizes;
        if (H5Pget_layout(how) == H5D_CHUNKED) {
            sizes.resize(shape(name).size());
            H5Pget_chunk(how, static_cast<int>(sizes.size()), sizes.data());
        }
        H5Pclose(how);
        H5Dclose(set);
        return sizes;
    }

    bool is_deflated(const std::string& name) const {
        const hid_t set = open(name), how = H5Dget_create_plist(set);
        bool found = false;
        for (unsigned n = 0; n < static_cast<unsigned>(H5Pget_nfilters(how)); ++n) {
            unsigned flags = 0, settings = 0;
            std::size_t n_values = 0;
            found |= H5Pget_filter2(how, n, &flags, &n_values, nullptr, 0, nullptr, &settings) ==
                     H5Z_FILTER_DEFLATE;
        }
        H5Pclose(how);
        H5Dclose(set);
        return found;
    }

    hsize_t stored_bytes(const std::string& name) const {
        const hid_t set = open(name);
        const hsize_t bytes = H5Dget_storage_size(set);
        H5Dclose(set);
        return bytes;
    }

  private:
    hid_t open(const std::string& name) const {
        const hid_t set = H5Dopen2(file_, name.c_str(), H5P_DEFAULT);
        EXPECT_GE(set, 0) << name;
        return set;
    }
    hid_t file_;
};

}  // namespace noonshell::test
