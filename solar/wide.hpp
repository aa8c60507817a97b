// One build of a function for every machine and one for machines with AVX2; the loader picks.
// Neither fuses multiply and add, so both give the same bits. Included by .cpp files only.
#pragma once

#if defined(__x86_64__) && defined(__GNUC__) && !defined(__clang__)
#define NOONSHELL_WIDE __attribute__((target_clones("avx2", "default")))
#else
#define NOONSHELL_WIDE
#endif

namespace noonshell {

/// What fills one register of AVX2: four cases in double precision, eight in single. Wider vectors
/// go through memory piece by piece there, which costs more than the sums; so does memcpy into
/// them. Not to be passed by value between functions.
using Four = double __attribute__((vector_size(4 * sizeof(double)), aligned(8), may_alias));
using Eight = float __attribute__((vector_size(8 * sizeof(float)), aligned(4), may_alias));

}  // namespace noonshell
