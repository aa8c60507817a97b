// One build of a function for every machine and one for machines with AVX2; the loader picks.
// Neither fuses multiply and add, so both give the same bits. Included by .cpp files only.
#pragma once

#if defined(__x86_64__) && defined(__GNUC__) && !defined(__clang__) && \
    !defined(__SANITIZE_ADDRESS__)
#define NOONSHELL_WIDE __attribute__((target_clones("avx2", "default")))
#else
#define NOONSHELL_WIDE
#endif
