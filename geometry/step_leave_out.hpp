// Private to geometry/: which faces and bodies of a STEP file the CAD kernel must not come to,
// because it would crash on them, and the file without them (ISO 10303-21 records of ISO 10303-42
// entities).
#pragma once

#include <cstdint>
#include <map>
#include <set>
#include <string>
#include <string_view>
#include <unordered_map>
#include <vector>

#include "geometry/step_records.hpp"

namespace noonshell {

class StepOwners {
  public:
    /// `text` must outlive this. Time and memory grow in step with the text.
    explicit StepOwners(std::string_view text);

    /// Faces that cannot be built because they need, directly or through others, a record that the
    /// file lacks, or one that holds nothing where the standard demands an entity; ascending.
    /// Curves in the parameters of a surface are not needed, and the kernel closes an outline that
    /// lacks an edge.
    std::set<std::uint32_t> faces_with_missing_records() const;

    /// What has to be left out so that the kernel does not come to `entity` again: the faces that
    /// need it or, where there are none or `left_out` has them all, the shells and solids that hold
    /// it. Empty where nothing of that kind holds it.
    std::set<std::uint32_t> to_leave_out(std::uint32_t entity,
                                         const std::set<std::uint32_t>& left_out) const;

    /// Records of faces and bodies, one entity each, with a list that holds nothing: on some of
    /// them the kernel crashes before it has read the file. Ascending.
    std::set<std::uint32_t> shapes_with_empty_lists() const;

    /// Styles that need a record that the file lacks; ascending.
    std::set<std::uint32_t> styles_with_missing_records() const;

    /// Bodies of records that do for some that the file lacks: the origin for the place of an axis,
    /// a representation of nothing for one that is placed or placed in. By number.
    std::map<std::uint32_t, std::string> stand_ins() const;

    /// Records that tie shapes to products and refer to a record that the file lacks and that has
    /// no stand-in; ascending.
    std::set<std::uint32_t> broken_links() const;

    bool is_face(std::uint32_t entity) const;
    /// Records that refer to it, in the order of the file.
    std::vector<std::uint32_t> owners_of(std::uint32_t entity) const;

    /// The text with `entities` taken out of all lists of other records. What has none left in its
    /// list, or cannot be without one of them, goes too.
    std::string text_without(std::set<std::uint32_t> entities) const;

    /// Emptied records of an unknown type take the place of `blanked`; `added` come last. To be
    /// applied to what text_without() returns.
    static std::string with_stand_ins(std::string text, const std::set<std::uint32_t>& blanked,
                                      const std::map<std::uint32_t, std::string>& added);

  private:
    std::vector<std::uint32_t> missing_records() const;
    bool lacks_a_parameter(std::uint32_t entity) const;
    std::string_view keyword(std::uint32_t entity) const;
    bool is_body(std::uint32_t entity) const;
    bool needs(std::uint32_t owner, std::uint32_t item) const;
    /// Climbs from `items` to what needs them, as far as `stop` says; what stops it is returned.
    template <class Stop>
    std::set<std::uint32_t> climb(std::vector<std::uint32_t> items, const Stop& stop) const;

    std::string_view text_;
    StepRecords records_;
    std::unordered_map<std::uint32_t, std::vector<std::uint32_t>> owners_;  ///< who refers to it
};

}  // namespace noonshell
