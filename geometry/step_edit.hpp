// Private to geometry/: a STEP file whose records are changed and added to, while all else in it
// stays as it is to the byte.
#pragma once

#include <cstdint>
#include <map>
#include <string>
#include <string_view>
#include <unordered_map>
#include <vector>

namespace noonshell {

using NumberMap = std::unordered_map<std::uint32_t, std::uint32_t>;

/// How one record names another: "#12".
inline std::string link(std::uint32_t number) {
    return "#" + std::to_string(number);
}

class StepEdit {
  public:
    explicit StepEdit(std::string text);
    StepEdit(const StepEdit&) = delete;
    StepEdit& operator=(const StepEdit&) = delete;

    /// The file as it came.
    const std::string& original() const { return text_; }
    bool has(std::uint32_t number) const { return at_.contains(number); }
    /// What stands between "#number =" and ';' in the file as it came; empty where there is none.
    std::string_view body(std::uint32_t number) const;
    std::vector<std::uint32_t> numbers() const;  ///< of the file as it came, in its order

    void replace(std::uint32_t number, std::string body);
    /// Takes a number that no record has.
    std::uint32_t new_number() { return ++last_number_; }
    void add(std::uint32_t number, const std::string& body);
    std::uint32_t add(const std::string& body);

    /// The file with all changes; new records stand at the end of the last data section.
    std::string text() const;

  private:
    struct Record {
        std::uint32_t number;
        std::size_t begin, end;  ///< of the body
    };
    std::string text_;
    std::vector<Record> records_;
    std::unordered_map<std::uint32_t, std::size_t> at_;
    std::map<std::size_t, std::string> replaced_;  ///< by index of the record
    std::string added_;
    std::size_t end_of_data_ = 0;
    std::uint32_t last_number_ = 0;
};

/// Numbers that a record refers to, in the order in which they stand.
std::vector<std::uint32_t> references(std::string_view body);

/// The body with the numbers of its references exchanged; those that the map lacks stay.
std::string with_references(std::string_view body, const NumberMap& exchanged);

}  // namespace noonshell
