#include "cli/output_folder.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <system_error>
#include <utility>

#include "cli/utf8.hpp"
#include "geometry/diagnostics.hpp"

namespace noonshell {

namespace {

constexpr mode_t file_mode = 0644;  // before the user's mask

std::string system_message(int code) {
    return std::generic_category().message(code);
}

InputError refuse(const std::filesystem::path& path, std::string expected, std::string seen) {
    return InputError({printable(path.string()), {}, {}, ""}, std::move(expected), std::move(seen));
}

/// An open file that is closed on every way out.
class OpenFile {
  public:
    explicit OpenFile(const std::filesystem::path& path, int how = O_WRONLY | O_CREAT | O_EXCL)
        : descriptor_(open(path.c_str(), how | O_CLOEXEC, file_mode)) {}
    ~OpenFile() {
        if (descriptor_ >= 0) ::close(descriptor_);
    }
    OpenFile(const OpenFile&) = delete;
    OpenFile& operator=(const OpenFile&) = delete;

    bool is_open() const { return descriptor_ >= 0; }

    /// Writes all of it; returns 0 or the system's error number.
    int write(std::string_view content) const {
        while (!content.empty()) {
            const ssize_t n = ::write(descriptor_, content.data(), content.size());
            if (n < 0 && errno == EINTR) continue;
            if (n < 0) return errno;
            content.remove_prefix(static_cast<std::size_t>(n));
        }
        return 0;
    }

    /// Flushes to the disk and closes; a full disk may show only here.
    int finish() {
        const int synced = fsync(descriptor_) == 0 ? 0 : errno;
        const int closed = ::close(std::exchange(descriptor_, -1)) == 0 ? 0 : errno;
        return synced != 0 ? synced : closed;
    }

  private:
    int descriptor_;
};

}  // namespace

OutputFolder::OutputFolder(std::filesystem::path folder) : folder_(std::move(folder)) {
    try {
        make_folder();
        try_to_write();
    } catch (...) {
        clean();
        throw;
    }
}

OutputFolder::~OutputFolder() {
    if (!committed_) clean();
}

void OutputFolder::make_folder() {
    std::filesystem::path whole;
    for (const std::filesystem::path& part : folder_) {
        whole /= part;
        if (mkdir(whole.c_str(), 0755) == 0) {
            made_.push_back(whole);
            continue;
        }
        const int code = errno;
        std::error_code ignored;
        if (std::filesystem::is_directory(whole, ignored)) continue;
        throw refuse(folder_, "a folder that can be made and written",
                     code == EEXIST ? "a file of that name" : system_message(code));
    }
}

void OutputFolder::try_to_write() const {
    const std::filesystem::path trial = temporary_path("trial", "part");
    ::unlink(trial.c_str());
    const bool made = OpenFile(trial).is_open();
    const int code = errno;
    ::unlink(trial.c_str());
    if (!made) throw refuse(folder_, "a folder that can be written", system_message(code));
}

std::filesystem::path OutputFolder::temporary_path(const std::string& name,
                                                   std::string_view ending) const {
    return folder_ / fmt::format(".{}.{}.{}", name, getpid(), ending);
}

void OutputFolder::add(const std::string& name, std::string_view content) {
    bool given = false;
    add(name, [&] { return std::exchange(given, true) ? std::string() : std::string(content); });
}

const OutputFolder::File& OutputFolder::begin_file(const std::string& name) {
    files_.push_back({folder_ / name, temporary_path(name, "part"), temporary_path(name, "old")});
    ::unlink(files_.back().temporary.c_str());  // left by a killed run with the same process number
    return files_.back();
}

void OutputFolder::add(const std::string& name, const std::function<std::string()>& next) {
    const File& file = begin_file(name);
    OpenFile stream(file.temporary);
    if (!stream.is_open())
        throw refuse(file.final_path, "a file that can be made", system_message(errno));
    int code = 0;
    std::size_t bytes = 0;
    for (std::string piece = next(); code == 0 && !piece.empty(); piece = next()) {
        bytes += piece.size();
        code = stream.write(piece);
    }
    if (code == 0) code = stream.finish();
    if (code != 0)
        throw refuse(file.final_path, fmt::format("room to write {} bytes", bytes),
                     system_message(code));
}

void OutputFolder::add_made(const std::string& name,
                            const std::function<void(const std::filesystem::path&)>& make) {
    const File& file = begin_file(name);
    make(file.temporary);
    OpenFile stream(file.temporary, O_WRONLY);
    const int code = stream.is_open() ? stream.finish() : errno;
    if (code != 0) throw refuse(file.final_path, "room for the file", system_message(code));
}

void OutputFolder::place(File& file) const {
    std::error_code ignored;
    if (std::filesystem::is_directory(file.final_path, ignored))
        throw refuse(file.final_path, "a name for a file", "a folder of that name");
    ::unlink(file.backup.c_str());
    // A second name for the earlier file, so that it can be put back; absent where there is none.
    file.backed_up = ::link(file.final_path.c_str(), file.backup.c_str()) == 0;
    if (std::rename(file.temporary.c_str(), file.final_path.c_str()) != 0)
        throw refuse(file.final_path, "a file that can be replaced", system_message(errno));
    file.placed = true;
}

void OutputFolder::commit() {
    try {
        for (File& file : files_) place(file);
    } catch (...) {
        take_back();
        throw;
    }
    committed_ = true;
    for (const File& file : files_) {
        if (file.backed_up) ::unlink(file.backup.c_str());
    }
}

void OutputFolder::take_back() noexcept {
    for (const File& file : files_) {
        if (file.placed && file.backed_up)
            ::rename(file.backup.c_str(), file.final_path.c_str());
        else if (file.placed)
            ::unlink(file.final_path.c_str());
        else if (file.backed_up)
            ::unlink(file.backup.c_str());
    }
}

void OutputFolder::clean() noexcept {
    for (const File& file : files_) {
        if (!file.placed) ::unlink(file.temporary.c_str());
    }
    for (auto folder = made_.rbegin(); folder != made_.rend(); ++folder) ::rmdir(folder->c_str());
}

void require_writable(const std::filesystem::path& folder) {
    OutputFolder trial(folder);
}

}  // namespace noonshell
