// The files of one run, put into their folder together or not at all.
#pragma once

#include <filesystem>
#include <functional>
#include <string>
#include <string_view>
#include <vector>

#include "cli/interrupt.hpp"

namespace noonshell {

/// Files are written under temporary names beside their final ones and flushed to the disk;
/// commit() then renames them all. Whatever ends before that leaves the folder as it was: temporary
/// files and folders made for them are removed.
class OutputFolder {
  public:
    /// Makes the folder where it is missing and tries that a file can be made in it. Throws
    /// InputError naming the folder and what the system said.
    explicit OutputFolder(std::filesystem::path folder);
    ~OutputFolder();
    OutputFolder(const OutputFolder&) = delete;
    OutputFolder& operator=(const OutputFolder&) = delete;

    const std::filesystem::path& path() const { return folder_; }

    /// Writes one file under a temporary name. Throws InputError when the disk is full or the file
    /// cannot be made.
    void add(const std::string& name, std::string_view content);

    /// The same for a file that is too large to be held: `next` gives piece after piece, an empty
    /// one at the end.
    void add(const std::string& name, const std::function<std::string()>& next);

    /// The same for a file that a library writes by itself: `make` is given the temporary name.
    /// Whatever it throws is passed on.
    void add_made(const std::string& name,
                  const std::function<void(const std::filesystem::path&)>& make);

    /// Renames every file; earlier files of the same names are replaced. When one rename fails,
    /// those before it are taken back (POSIX has no rename of several files at once) and InputError
    /// thrown.
    void commit();

  private:
    struct File {
        std::filesystem::path final_path, temporary, backup;
        bool backed_up = false, placed = false;
    };

    void make_folder();
    void try_to_write() const;
    std::filesystem::path temporary_path(const std::string& name, std::string_view ending) const;
    const File& begin_file(const std::string& name);
    void place(File& file) const;
    void take_back() noexcept;
    void clean() noexcept;

    ResultsBeingPlaced guard_;
    std::filesystem::path folder_;
    std::vector<std::filesystem::path> made_;  // folders made here, outermost first
    std::vector<File> files_;
    bool committed_ = false;
};

/// Throws as OutputFolder does when the folder cannot be made or written, and leaves no trace: to
/// be called before a long computation.
void require_writable(const std::filesystem::path& folder);

}  // namespace noonshell
