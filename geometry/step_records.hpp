// The records of a STEP file's data section as text and as values (ISO 10303-21), for entities that
// the CAD kernel does not know.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <unordered_map>
#include <vector>

namespace noonshell {

/// One parameter of a record. A record that joins several entities is a list of typed values.
struct StepValue {
    enum class Kind { missing, number, reference, text, enumeration, list, typed };
    Kind kind = Kind::missing;  ///< missing: "$", "*", or nothing where something was expected
    double number = 0;
    std::uint32_t reference = 0;   ///< number after '#'
    std::string text;              ///< text as it stands, enumeration, or the keyword of a type
    std::vector<StepValue> items;  ///< of a list; parameters of a typed value

    /// The parameter at `i`; a missing value where there is none.
    const StepValue& at(std::size_t i) const;
    /// The joined or only entity with this keyword; a missing value where there is none.
    const StepValue& entity(std::string_view keyword) const;
    bool is(std::string_view keyword) const { return kind == Kind::typed && text == keyword; }
};

/// Finds where each record stands. Text that is not of the form "#n = ...;" is skipped.
class StepRecords {
  public:
    /// `text` must outlive this.
    explicit StepRecords(std::string_view text);

    /// Position of the ';' that ends the record that `begin` lies in, outside quoted text and
    /// comments; the end of the text where there is none.
    static std::size_t end_of_record(std::string_view text, std::size_t begin);

    /// The record "#number"; a missing value where there is none. What cannot be parsed in it comes
    /// out as missing values.
    StepValue read(std::uint32_t number) const;

    /// What stands between "#number =" and ';'; empty where there is no such record.
    std::string_view body(std::uint32_t number) const;

    /// Numbers of the records whose text holds `keyword` as an entity, in the order of the file.
    std::vector<std::uint32_t> with(std::string_view keyword) const;

    /// Numbers of all records, in the order of the file.
    std::vector<std::uint32_t> numbers() const;

  private:
    struct Record {
        std::uint32_t number;
        std::string_view body;
    };
    std::vector<Record> records_;
    std::unordered_map<std::uint32_t, std::size_t> at_;
};

}  // namespace noonshell
