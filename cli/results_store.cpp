#include "cli/results_store.hpp"

#include <sqlite3.h>

#include <system_error>
#include <utility>

#include "cli/utf8.hpp"
#include "geometry/diagnostics.hpp"

namespace noonshell {

namespace {

using Statement = std::unique_ptr<sqlite3_stmt, int (*)(sqlite3_stmt*)>;

Statement prepared(sqlite3* database, const char* sql) {
    sqlite3_stmt* statement = nullptr;
    sqlite3_prepare_v2(database, sql, -1, &statement, nullptr);
    return {statement, sqlite3_finalize};
}

bool done(sqlite3* database, const char* sql) {
    return sqlite3_exec(database, sql, nullptr, nullptr, nullptr) == SQLITE_OK;
}

/// The first column of the first row as text; empty where there is none.
std::string first_text(sqlite3* database, const char* sql) {
    const Statement statement = prepared(database, sql);
    if (!statement || sqlite3_step(statement.get()) != SQLITE_ROW) return {};
    const int n = sqlite3_column_bytes(statement.get(), 0);
    const void* bytes = sqlite3_column_blob(statement.get(), 0);
    if (bytes == nullptr) return {};
    return {static_cast<const char*>(bytes), static_cast<std::size_t>(n)};
}

void remove_store(const std::filesystem::path& file) {
    for (const char* ending : {"", "-journal", "-wal", "-shm"}) {
        std::error_code ignored;
        std::filesystem::remove(file.string() + ending, ignored);
    }
}

}  // namespace

struct ResultsStore::Database {
    sqlite3* handle = nullptr;
    Database() = default;
    Database(const Database&) = delete;
    Database& operator=(const Database&) = delete;
    ~Database() { sqlite3_close(handle); }
};

/// None where the file is damaged or no store.
std::unique_ptr<ResultsStore::Database> ResultsStore::open(
    const std::filesystem::path& file) const {
    auto database = std::make_unique<Database>();
    if (sqlite3_open(file.c_str(), &database->handle) != SQLITE_OK) return nullptr;
    sqlite3_busy_timeout(database->handle, 10000);
    // A crash of the machine may cost the last results, never the results of a plan.
    const bool sound =
        done(database->handle, "PRAGMA journal_mode = WAL") &&
        done(database->handle, "PRAGMA synchronous = OFF") &&
        first_text(database->handle, "PRAGMA quick_check") == "ok" &&
        done(database->handle,
             "CREATE TABLE IF NOT EXISTS found (key TEXT PRIMARY KEY, bytes BLOB NOT NULL)") &&
        prepared(database->handle, "SELECT bytes FROM found WHERE key = ?1") != nullptr;
    return sound ? std::move(database) : nullptr;
}

ResultsStore::ResultsStore(const std::filesystem::path& file) {
    database_ = open(file);
    if (database_) return;
    std::error_code error;
    was_damaged_ = std::filesystem::is_regular_file(file, error);
    if (was_damaged_) remove_store(file);
    database_ = open(file);
    if (!database_)
        throw InputError({.file = printable(file.string())}, "a file for the store of results",
                         "one that cannot be made or opened");
}

ResultsStore::~ResultsStore() = default;

std::optional<std::string> ResultsStore::find(const std::string& key) {
    const std::lock_guard lock(mutex_);
    const Statement statement =
        prepared(database_->handle, "SELECT bytes FROM found WHERE key = ?1");
    if (!statement) return std::nullopt;
    sqlite3_bind_text(statement.get(), 1, key.data(), static_cast<int>(key.size()), SQLITE_STATIC);
    if (sqlite3_step(statement.get()) != SQLITE_ROW) return std::nullopt;
    const auto n = static_cast<std::size_t>(sqlite3_column_bytes(statement.get(), 0));
    const void* bytes = sqlite3_column_blob(statement.get(), 0);
    if (bytes == nullptr) return std::nullopt;
    ++n_found_;
    return std::string(static_cast<const char*>(bytes), n);
}

void ResultsStore::keep(const std::string& key, const std::string& bytes) {
    const std::lock_guard lock(mutex_);
    const Statement statement =
        prepared(database_->handle, "INSERT OR REPLACE INTO found VALUES (?1, ?2)");
    if (!statement) return;
    sqlite3_bind_text(statement.get(), 1, key.data(), static_cast<int>(key.size()), SQLITE_STATIC);
    sqlite3_bind_blob64(statement.get(), 2, bytes.data(), bytes.size(), SQLITE_STATIC);
    sqlite3_step(statement.get());
}

}  // namespace noonshell
