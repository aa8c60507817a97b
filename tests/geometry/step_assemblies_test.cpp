// How many placements a file asks for, against the closed form of nested pairs; and assemblies that
// hold themselves.
#include "geometry/step_assemblies.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <string>

namespace noonshell {
namespace {

std::string usage(int number, int assembly, int part, const std::string& name = "") {
    return "#" + std::to_string(number) + " = NEXT_ASSEMBLY_USAGE_OCCURRENCE ( 'x' ,'" + name +
           "',\n $, #" + std::to_string(assembly) + ",#" + std::to_string(part) + ",$);\n";
}

/// Each of `n` assemblies places the next one twice; the last places a part twice.
std::string nested_pairs(int n) {
    std::string text;
    for (int i = 0; i < n; ++i) {
        // A name may hold whatever looks like the record itself.
        text += usage(1000 + 2 * i, i + 1, i + 2, "a,''#7,(;");
        text += usage(1001 + 2 * i, i + 1, i + 2);
    }
    return text;
}

// 2 + 4 + ... + 2^n = 2^(n + 1) - 2; each record is looked at once, so that thousands of levels
// take no time either.
TEST(StepAssemblies, NestedPairsAreCountedByTheirClosedForm) {
    for (const int n : {1, 2, 10, 30, 50}) {
        const AssemblyShape shape = assembly_shape(nested_pairs(n));
        EXPECT_EQ(shape.placements, std::exp2(n + 1) - 2);
        EXPECT_EQ(shape.largest_entity, 1u);
        EXPECT_EQ(shape.ring_entity, 0u);
        EXPECT_EQ(shape.levels, static_cast<std::size_t>(n));
        EXPECT_EQ(shape.deepest_entity, 1u);
    }
    EXPECT_TRUE(std::isinf(assembly_shape(nested_pairs(20000)).placements));
    EXPECT_EQ(assembly_shape("").placements, 0);
}

// A part that is placed a hundred times, and shared by assemblies, is counted at each place.
TEST(StepAssemblies, SharedPartsCountAtEveryPlace) {
    std::string text;
    for (int i = 0; i < 100; ++i) text += usage(1000 + i, 2, 3);
    text += usage(2000, 1, 2) + usage(2001, 1, 2) + usage(2002, 1, 3);
    EXPECT_EQ(assembly_shape(text).placements, 2 * 101 + 1);
}

TEST(StepAssemblies, OneThatHoldsItselfIsFound) {
    EXPECT_EQ(assembly_shape(usage(10, 4, 4)).ring_entity, 4u);
    const AssemblyShape through =
        assembly_shape(usage(10, 1, 2) + usage(11, 2, 3) + usage(12, 3, 2) + usage(13, 1, 5));
    EXPECT_EQ(through.ring_entity, 2u);
}

TEST(StepAssemblies, WhatIsNoUsageCountsForNothing) {
    EXPECT_EQ(assembly_shape("#1=A('NEXT_ASSEMBLY_USAGE_OCCURRENCE');").placements, 0);
    EXPECT_EQ(assembly_shape("NEXT_ASSEMBLY_USAGE_OCCURRENCE('','','',#1").placements, 0);
    EXPECT_EQ(assembly_shape("NEXT_ASSEMBLY_USAGE_OCCURRENCE('','','',$,#1,$);").placements, 0);
    EXPECT_EQ(assembly_shape("NEXT_ASSEMBLY_USAGE_OCCURRENCE('").placements, 0);
}

}  // namespace
}  // namespace noonshell
