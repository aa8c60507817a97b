// Independent tasks on a given number of threads. Included by .cpp files only.
#pragma once

#include <tbb/blocked_range.h>
#include <tbb/global_control.h>
#include <tbb/parallel_for.h>
#include <tbb/partitioner.h>
#include <tbb/task_arena.h>
#include <tbb/task_group.h>

#include <algorithm>
#include <cstddef>
#include <exception>

namespace noonshell {

/// Calls work() on up to `threads` threads (0: as many as around it, else all; never more than the
/// machine has): loops within it that name no number of their own share them.
template <class Work>
void on_threads(unsigned threads, const Work& work) {
    if (threads == 0) {
        work();
        return;
    }
    // More than the machine has would make TBB print a warning.
    const std::size_t most =
        tbb::global_control::active_value(tbb::global_control::max_allowed_parallelism);
    tbb::task_arena arena(static_cast<int>(std::min<std::size_t>(threads, most)));
    arena.execute(work);
}

/// Calls task(i) once for every i < count, in any order, on up to `threads` threads as on_threads()
/// has them. Each task must write only what is its own, so that the result does not depend on the
/// thread count. The calling thread takes part. The first exception of a task ends the loop and is
/// thrown here.
template <class Task>
void for_each_task(unsigned threads, std::size_t count, const Task& task) {
    on_threads(threads, [&] {
        tbb::parallel_for(
            tbb::blocked_range<std::size_t>(0, count),
            [&](const tbb::blocked_range<std::size_t>& range) {
                for (std::size_t i = range.begin(); i != range.end(); ++i) task(i);
            },
            tbb::simple_partitioner{});
    });
}

/// Calls both, `here` on the calling thread and `elsewhere` on any that is free: while one does
/// what takes a single thread, the loops of the other keep the rest busy. Throws what `here` or
/// else `elsewhere` threw, when both have ended.
template <class Here, class Elsewhere>
void side_by_side(const Here& here, const Elsewhere& elsewhere) {
    std::exception_ptr failure;
    tbb::task_group group;
    group.run(elsewhere);
    try {
        here();
    } catch (...) {
        failure = std::current_exception();
    }
    try {
        group.wait();
    } catch (...) {
        if (!failure) failure = std::current_exception();
    }
    if (failure) std::rethrow_exception(failure);
}

}  // namespace noonshell
