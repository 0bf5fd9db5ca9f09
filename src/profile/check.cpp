#include "profile/check.h"

#include <algorithm>
#include <array>
#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <map>
#include <optional>
#include <set>
#include <utility>

#include <fmt/format.h>

#include "profile/bytes.h"
#include "profile/check_types.h"
#include "profile/handles.h"

namespace greywright::profile {
namespace {

constexpr std::size_t kHeaderBytes = 128;
constexpr std::size_t kTableAt = 132;
constexpr std::size_t kEntryBytes = 12;
constexpr std::size_t kMostTags = 1000;  // our own bound, ten times what is known to occur

/// How many channels a colour space has. Source: ICC.1:2022, table 19.
const std::map<std::string, std::uint32_t, std::less<>>& spaces() {
    static const std::map<std::string, std::uint32_t, std::less<>> kSpaces{
        {"XYZ ", 3},  {"Lab ", 3},  {"Luv ", 3},  {"YCbr", 3}, {"Yxy ", 3}, {"RGB ", 3},  {"GRAY", 1},
        {"HSV ", 3},  {"HLS ", 3},  {"CMYK", 4},  {"CMY ", 3}, {"2CLR", 2}, {"3CLR", 3},  {"4CLR", 4},
        {"5CLR", 5},  {"6CLR", 6},  {"7CLR", 7},  {"8CLR", 8}, {"9CLR", 9}, {"ACLR", 10}, {"BCLR", 11},
        {"CCLR", 12}, {"DCLR", 13}, {"ECLR", 14}, {"FCLR", 15}};
    return kSpaces;
}

/// The types that a tag may have. Source: ICC.1:2001-04, 6.4; ICC.1:2022, clause 9.
struct Allowed {
    std::vector<std::string_view> v2 = {};
    std::vector<std::string_view> v4 = {};
};

const std::map<std::string, Allowed, std::less<>>& allowedTypes() {
    static const std::map<std::string, Allowed, std::less<>> kAllowed = [] {
        std::map<std::string, Allowed, std::less<>> out;
        const auto put = [&out](std::initializer_list<const char*> tags, const Allowed& types) {
            for (const char* tag : tags) out.emplace(tag, types);
        };
        put({"A2B0", "A2B1", "A2B2"}, {{"mft1", "mft2"}, {"mft1", "mft2", "mAB "}});
        put({"B2A0", "B2A1", "B2A2", "gamt", "pre0", "pre1", "pre2"},
            {{"mft1", "mft2"}, {"mft1", "mft2", "mBA "}});
        put({"rXYZ", "gXYZ", "bXYZ", "wtpt", "bkpt", "lumi"}, {{"XYZ "}, {"XYZ "}});
        put({"rTRC", "gTRC", "bTRC", "kTRC"}, {{"curv"}, {"curv", "para"}});
        put({"desc", "dmnd", "dmdd", "vued"}, {{"desc"}, {"mluc"}});
        put({"cprt"}, {{"text"}, {"mluc"}});
        put({"targ"}, {{"text"}, {"text"}});
        put({"calt"}, {{"dtim"}, {"dtim"}});
        put({"chad"}, {{"sf32"}, {"sf32"}});
        put({"chrm"}, {{"chrm"}, {"chrm"}});
        put({"cicp"}, {{"cicp"}, {"cicp"}});
        put({"clro"}, {{"clro"}, {"clro"}});
        put({"clrt", "clot"}, {{"clrt"}, {"clrt"}});
        put({"D2B0", "D2B1", "D2B2", "D2B3", "B2D0", "B2D1", "B2D2", "B2D3"}, {{"mpet"}, {"mpet"}});
        put({"meas"}, {{"meas"}, {"meas"}});
        put({"meta"}, {{"dict"}, {"dict"}});
        put({"ncl2"}, {{"ncl2"}, {"ncl2"}});
        put({"pseq"}, {{"pseq"}, {"pseq"}});
        put({"psid"}, {{"psid"}, {"psid"}});
        put({"resp"}, {{"rcs2"}, {"rcs2"}});
        put({"tech", "ciis", "rig0", "rig2"}, {{"sig "}, {"sig "}});
        put({"view"}, {{"view"}, {"view"}});
        put({"bfd "}, {{"bfd "}, {"bfd "}});
        put({"crdi"}, {{"crdi"}, {"crdi"}});
        put({"psd0", "psd1", "psd2", "psd3", "ps2s", "ps2i"}, {{"data"}, {"data"}});
        put({"scrd"}, {{"desc"}, {"mluc"}});
        put({"scrn"}, {{"scrn"}, {"scrn"}});
        return out;
    }();
    return kAllowed;
}

struct Entry {
    std::string tag = {};
    std::size_t from = 0;
    std::size_t size = 0;
};

class Check {
  public:
    explicit Check(std::string_view bytes) : raw_(bytes), at_(bytes) {}

    std::vector<Finding> run() && {
        if (at_.size() < kTableAt) {
            wrong("profile-too-short", "header",
                  fmt::format("{} bytes are no header and tag table", at_.size()));
            return std::move(findings_);
        }
        header();
        if (!table()) return std::move(findings_);
        places();
        required();
        for (const Entry& entry : entries_) inside(entry);
        return std::move(findings_);
    }

  private:
    void wrong(std::string code, std::string where, std::string what) {
        findings_.push_back({std::move(code), std::move(where), std::move(what)});
    }
    [[nodiscard]] bool has(std::string_view tag) const {
        return std::ranges::any_of(entries_, [tag](const Entry& entry) { return entry.tag == tag; });
    }
    [[nodiscard]] std::uint32_t channelsOf(const std::string& space) const {
        const auto found = spaces().find(space);
        return found == spaces().end() ? 0 : found->second;
    }

    void header();
    void moment();
    bool table();
    void places();
    void required();
    void inside(const Entry& entry);
    [[nodiscard]] Surroundings around(const std::string& tag) const;

    std::string_view raw_;
    Bytes at_;
    std::vector<Finding> findings_ = {};
    std::vector<Entry> entries_ = {};
    int major_ = 4;
    std::string kind_ = {};
    std::string space_ = {};
    std::string connection_ = {};
};

void Check::header() {
    const auto odd = [this](std::string code, std::string what) {
        wrong(std::move(code), "header", std::move(what));
    };
    if (at_.u32(0) != at_.size()) {
        odd("size-differs",
            fmt::format("It gives its size as {}, and there are {} bytes", at_.u32(0), at_.size()));
    }
    major_ = static_cast<int>(at_.u8(8));
    if ((major_ != 2 && major_ != 4) || at_.u8(9) >> 4U > 4 || !at_.zero(10, 2)) {
        odd("version-unknown", fmt::format("Version {}.{}.{} is neither 2.0 to 2.4 nor 4.0 to 4.4", at_.u8(8),
                                           at_.u8(9) >> 4U, at_.u8(9) & 0xFU));
    }
    if (at_.size() % 4 != 0 && major_ == 4) odd("size-not-aligned", "The size is not a multiple of 4");
    kind_ = at_.signature(12);
    space_ = at_.signature(16);
    connection_ = at_.signature(20);
    static const std::set<std::string, std::less<>> kKinds{"scnr", "mntr", "prtr", "link",
                                                           "spac", "abst", "nmcl"};
    if (!kKinds.contains(kind_)) odd("class-unknown", "The class is unknown");
    if (channelsOf(space_) == 0) odd("space-unknown", "The colour space is unknown");
    if (kind_ == "link" ? channelsOf(connection_) == 0 : connection_ != "XYZ " && connection_ != "Lab ") {
        odd("connection-unknown", "The connection space is neither XYZ nor Lab, or for a link unknown");
    }
    moment();
    if (at_.signature(36) != "acsp") odd("signature-missing", "The signature acsp is not there");
    static const std::set<std::string, std::less<>> kPlatforms{
        std::string(4, '\0'), "APPL", "MSFT", "SGI ", "SUNW", "TGNT"};
    if (!kPlatforms.contains(at_.signature(40))) odd("platform-unknown", "The platform is unknown");
    if ((at_.u32(44) & 0xFFFCU) != 0) odd("reserved-not-zero", "Reserved flags are set");
    if ((at_.u32(60) & 0xFFFFFFF0U) != 0) odd("reserved-not-zero", "Reserved attributes are set");
    if (at_.u32(64) > 3) odd("intent-unknown", "The rendering intent is unknown");
    // Four decimals are what the standard gives, 3 units.
    constexpr std::array<std::uint32_t, 3> kD50{0xF6D6, 0x10000, 0xD32D};
    for (std::size_t i = 0; i < 3; ++i) {
        if (std::abs(static_cast<std::int64_t>(at_.u32(68 + 4 * i)) - static_cast<std::int64_t>(kD50[i])) >
            3) {
            odd("illuminant-not-d50", "The illuminant is not D50");
            break;
        }
    }
    if (!at_.zero(84, 16)) {
        if (major_ == 2) odd("reserved-not-zero", "Reserved bytes at 84 are not zero");
        if (major_ == 4 && at_.text(84, 16) != profileIdOf(raw_)) {
            odd("id-differs", "The profile's ID is not that of its bytes");
        }
    }
    if (!at_.zero(100, 28)) odd("reserved-not-zero", "Reserved bytes at 100 are not zero");
}

void Check::moment() {
    constexpr std::array<std::pair<std::uint32_t, std::uint32_t>, 6> kRanges{
        {{1, 9999}, {1, 12}, {1, 31}, {0, 23}, {0, 59}, {0, 59}}};
    for (std::size_t i = 0; i < kRanges.size(); ++i) {
        const std::uint32_t part = at_.u16(24 + 2 * i);
        if (part < kRanges[i].first || part > kRanges[i].second) {
            return wrong("moment-out-of-range", "header", "The date or time is none");
        }
    }
}

bool Check::table() {
    const std::uint64_t count = at_.u32(kHeaderBytes);
    if (count == 0) wrong("table-empty", "table", "There is no tag");
    if (count > kMostTags || kTableAt + kEntryBytes * count > at_.size()) {
        wrong("table-too-long", "table",
              fmt::format("{} tags do not fit into any profile or this one", count));
        return false;
    }
    for (std::size_t i = 0; i < count; ++i) {
        const std::size_t entry = kTableAt + kEntryBytes * i;
        entries_.push_back({at_.signature(entry), at_.u32(entry + 4), at_.u32(entry + 8)});
    }
    std::set<std::string, std::less<>> seen;
    for (const Entry& entry : entries_) {
        if (!seen.insert(entry.tag).second) wrong("tag-twice", entry.tag, "The tag is there twice");
    }
    return true;
}

void Check::places() {
    const std::size_t begin = kTableAt + kEntryBytes * entries_.size();
    std::set<std::pair<std::size_t, std::size_t>> parts;  // tags may share one part
    for (const Entry& entry : entries_) {
        if (entry.from % 4 != 0) wrong("tag-not-aligned", entry.tag, "It does not begin at a multiple of 4");
        if (entry.from < begin || !at_.has(entry.from, entry.size)) {
            wrong("tag-outside", entry.tag, "It reaches beyond the profile or into its tag table");
        } else {
            parts.emplace(entry.from, entry.size);
        }
    }
    std::size_t end = begin;
    for (const auto& [from, size] : parts) {
        const auto name = std::ranges::find_if(entries_, [f = from, s = size](const Entry& entry) {
                              return entry.from == f && entry.size == s;
                          })->tag;
        if (from < end) wrong("tag-overlaps", name, "It shares some of its bytes with another tag");
        if (major_ == 4 && from > end && (from - end > 3 || !at_.zero(end, from - end))) {
            wrong("gap-between-tags", name, "Before it stand bytes that belong to nothing");
        }
        end = std::max(end, from + size);
    }
    if (major_ == 4 && end < at_.size() && (at_.size() - end > 3 || !at_.zero(end, at_.size() - end))) {
        wrong("gap-between-tags", "table", "After the last tag stand bytes that belong to nothing");
    }
}

/// Source: ICC.1:2001-04, 6.3; ICC.1:2022, clause 8.
void Check::required() {
    const auto all = [this](std::initializer_list<const char*> tags) {
        return std::ranges::all_of(tags, [this](const char* tag) { return has(tag); });
    };
    const auto need = [this](std::initializer_list<const char*> tags) {
        for (const char* tag : tags) {
            if (!has(tag)) wrong("tag-missing", tag, "A profile of this class needs it");
        }
    };
    need({"desc", "cprt"});
    if (kind_ != "link") need({"wtpt"});
    const bool matrix = space_ == "RGB " && all({"rXYZ", "gXYZ", "bXYZ", "rTRC", "gTRC", "bTRC"});
    const bool grey = space_ == "GRAY" && has("kTRC");
    if (matrix && connection_ != "XYZ ") wrong("connection-unknown", "header", "A matrix leads to XYZ alone");
    if (kind_ == "scnr" && !matrix && !grey) need({"A2B0"});
    if (kind_ == "mntr" && !matrix && !grey) need({"A2B0", "B2A0"});
    if (kind_ == "prtr" && !grey) need({"A2B0", "A2B1", "A2B2", "B2A0", "B2A1", "B2A2", "gamt"});
    if (kind_ == "spac") need({"A2B0", "B2A0"});
    if (kind_ == "abst") need({"A2B0"});
    if (kind_ == "nmcl") need({"ncl2"});
    if (kind_ == "link") need({"A2B0", "pseq"});
}

Surroundings Check::around(const std::string& tag) const {
    const std::uint32_t device = channelsOf(space_);
    const std::uint32_t connection = channelsOf(connection_);
    Surroundings out{.major = major_};
    if (tag.starts_with("A2B") || tag.starts_with("D2B")) {
        out.channelsIn = device;
        out.channelsOut = connection;
        out.inIsXyz = space_ == "XYZ ";
    } else if (tag.starts_with("B2A") || tag.starts_with("B2D")) {
        out.channelsIn = connection;
        out.channelsOut = device;
        out.inIsXyz = connection_ == "XYZ ";
    } else if (tag.starts_with("pre")) {
        out.channelsIn = connection;
        out.channelsOut = connection;
        out.inIsXyz = connection_ == "XYZ ";
    } else if (tag == "gamt") {
        out.channelsIn = connection;
        out.channelsOut = 1;
        out.inIsXyz = connection_ == "XYZ ";
    }
    return out;
}

void Check::inside(const Entry& entry) {
    if (!at_.has(entry.from, entry.size)) return;
    if (entry.size < 8) return wrong("tag-too-short", entry.tag, "It has no room for its type");
    const std::string type = at_.signature(entry.from);
    if (const auto known = allowedTypes().find(entry.tag); known != allowedTypes().end()) {
        const auto& types = major_ == 2 ? known->second.v2 : known->second.v4;
        if (std::ranges::find(types, type) == types.end()) {
            wrong("type-not-allowed", entry.tag, "It may not have this type in this version");
        }
        if (type == "XYZ " && entry.size > 20)
            wrong("tag-too-long", entry.tag, "It holds more than one colour");
        if (entry.tag == "chad" && entry.size != 44)
            wrong("value-out-of-range", entry.tag, "It is not a 3 x 3 matrix");
    }
    checkType(
        raw_.substr(entry.from, entry.size), around(entry.tag),
        [&](std::string code, std::string what) { wrong(std::move(code), entry.tag, std::move(what)); });
}

}  // namespace

std::vector<Finding> check(std::string_view bytes) {
    return Check(bytes).run();
}

}  // namespace greywright::profile
