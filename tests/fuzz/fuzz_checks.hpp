// What every fuzz target asks of the code under it: errors are one readable line, nothing else
// escapes, and a broken promise ends the program so that the fuzzer keeps the input.
#pragma once

#include <sys/mman.h>
#include <unistd.h>

#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <string>
#include <string_view>

#include "geometry/diagnostics.hpp"
#include "geometry/step_prescan.hpp"

namespace noonshell::fuzz {

/// Ends the program when a promise is broken.
inline void demand(bool kept, std::string_view promise, std::string_view seen = {}) {
    if (kept) return;
    std::fprintf(stderr, "broken promise: %.*s, saw: %.*s\n", static_cast<int>(promise.size()),
                 promise.data(), static_cast<int>(seen.size()), seen.data());
    std::abort();
}

/// One line of printable UTF-8.
inline void demand_one_line(std::string_view text) {
    demand(!text.empty(), "text is not empty");
    demand(is_valid_utf8(text), "text is UTF-8", text);
    for (const char c : text) {
        const auto byte = static_cast<unsigned char>(c);
        demand(byte >= 0x20 && byte != 0x7F, "text is one line without control characters", text);
    }
}

/// A file in memory that is read by its name, holding the fuzzer's bytes.
class MemoryFile {
  public:
    MemoryFile() : handle_(memfd_create("input", 0)) {
        demand(handle_ >= 0, "a file can be made in memory");
    }
    ~MemoryFile() { close(handle_); }
    MemoryFile(const MemoryFile&) = delete;
    MemoryFile& operator=(const MemoryFile&) = delete;

    std::filesystem::path holding(std::string_view content) const {
        demand(ftruncate(handle_, 0) == 0, "the file can be emptied");
        for (std::size_t done = 0; done < content.size();) {
            const auto n = pwrite(handle_, content.data() + done, content.size() - done,
                                  static_cast<off_t>(done));
            demand(n > 0, "the file can be written");
            done += static_cast<std::size_t>(n);
        }
        return "/proc/self/fd/" + std::to_string(handle_);
    }

  private:
    int handle_;
};

inline std::string_view as_text(const std::uint8_t* data, std::size_t size) {
    return {reinterpret_cast<const char*>(data), size};
}

}  // namespace noonshell::fuzz
