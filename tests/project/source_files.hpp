// The project's own sources as text, for tests that read them.
#pragma once

#include <algorithm>
#include <cctype>
#include <filesystem>
#include <fstream>
#include <sstream>
#include <stdexcept>
#include <string>
#include <vector>

namespace noonshell::project {

inline std::string read_text(const std::filesystem::path& file) {
    std::ifstream stream(file, std::ios::binary);
    if (!stream) throw std::runtime_error("cannot read " + file.string());
    std::ostringstream text;
    text << stream.rdbuf();
    return text.str();
}

/// Paths of C++ sources, CMake and site files below `root`/`folder`, relative to `root`, sorted.
inline std::vector<std::string> sources(const std::filesystem::path& root,
                                        const std::string& folder) {
    std::vector<std::string> found;
    if (!std::filesystem::exists(root / folder)) return found;
    for (const auto& entry : std::filesystem::recursive_directory_iterator(root / folder)) {
        const std::string kind = entry.path().extension().string();
        const bool source = kind == ".cpp" || kind == ".hpp" || kind == ".h" || kind == ".inc" ||
                            kind == ".toml" || entry.path().filename() == "CMakeLists.txt";
        const std::string path = std::filesystem::relative(entry.path(), root).generic_string();
        if (source && path.find("node_modules") == std::string::npos) found.push_back(path);
    }
    std::sort(found.begin(), found.end());
    return found;
}

inline std::vector<std::string> lines_of(const std::string& text) {
    std::vector<std::string> lines;
    std::istringstream stream(text);
    for (std::string line; std::getline(stream, line);) lines.push_back(line);
    return lines;
}

/// Blanks out what is not code, line breaks kept: comments, and the insides of string and character
/// literals (raw strings are not told apart).
inline std::string code_only(const std::string& text) {
    std::string code = text;
    enum class In { plain, line_comment, block_comment, string, character } in = In::plain;
    for (std::size_t i = 0; i < text.size(); ++i) {
        const char c = text[i], next = i + 1 < text.size() ? text[i + 1] : '\0';
        const bool digit_separator =
            c == '\'' && i > 0 && std::isalnum(static_cast<unsigned char>(text[i - 1])) != 0;
        switch (in) {
            case In::plain:
                if (c == '/' && next == '/') in = In::line_comment;
                if (c == '/' && next == '*') in = In::block_comment;
                if (c == '"') in = In::string;
                if (c == '\'' && !digit_separator) in = In::character;
                if (in == In::line_comment || in == In::block_comment) code[i] = ' ';
                continue;
            case In::line_comment:
                if (c == '\n') in = In::plain;
                break;
            case In::block_comment:
                if (c == '*' && next == '/') {
                    code[i] = code[i + 1] = ' ';
                    ++i;
                    in = In::plain;
                    continue;
                }
                break;
            case In::string:
            case In::character:
                if (c == (in == In::string ? '"' : '\'')) {
                    in = In::plain;
                    continue;
                }
                if (c == '\\' && next != '\n') code[i++] = ' ';
                break;
        }
        if (text[i] != '\n') code[i] = ' ';
    }
    return code;
}

}  // namespace noonshell::project
