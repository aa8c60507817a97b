// Distinct index types, so that a facet number can never be used where a surface number is meant.
#pragma once

#include <compare>
#include <cstddef>
#include <cstdint>
#include <functional>

namespace noonshell {

/// Index into one kind of list; a default-made id is `none` and must not be used as an index.
template <class Tag>
struct Id {
    static constexpr std::uint32_t none_value = 0xffffffffu;
    std::uint32_t value = none_value;

    constexpr Id() = default;
    constexpr explicit Id(std::size_t index) : value(static_cast<std::uint32_t>(index)) {}

    static constexpr Id none() { return Id{}; }
    constexpr bool valid() const { return value != none_value; }
    constexpr std::size_t index() const { return value; }
    friend constexpr auto operator<=>(Id, Id) = default;
};

using BodyId = Id<struct BodyTag>;        ///< index into Model::bodies
using FaceId = Id<struct FaceTag>;        ///< index into Model::faces
using SurfaceId = Id<struct SurfaceTag>;  ///< index into Envelope::surfaces
using FacetId = Id<struct FacetTag>;      ///< index into the arrays of Envelope::facets
using UnitId = Id<struct UnitTag>;        ///< index into Envelope::units

}  // namespace noonshell

template <class Tag>
struct std::hash<noonshell::Id<Tag>> {
    std::size_t operator()(noonshell::Id<Tag> id) const noexcept { return id.value; }
};
