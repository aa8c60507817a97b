// A folder's store of results: what runs found in earlier goes, finished or not.
#pragma once

#include <filesystem>
#include <memory>
#include <mutex>
#include <string>

#include "thermal/trial_store.hpp"

namespace noonshell {

/// One SQLite file. Whatever goes wrong with it later, results are found without it.
class ResultsStore : public TrialStore {
  public:
    /// Opens or makes the file; one that is damaged, or no store, is made anew. Throws InputError
    /// where that cannot be done.
    explicit ResultsStore(const std::filesystem::path& file);
    ~ResultsStore() override;

    std::optional<std::string> find(const std::string& key) override;
    void keep(const std::string& key, const std::string& bytes) override;

    bool was_damaged() const { return was_damaged_; }
    std::size_t n_found() const { return n_found_; }  ///< answers that the store had

  private:
    struct Database;
    std::unique_ptr<Database> open(const std::filesystem::path& file) const;

    std::mutex mutex_;
    std::unique_ptr<Database> database_;
    bool was_damaged_ = false;
    std::size_t n_found_ = 0;
};

}  // namespace noonshell
