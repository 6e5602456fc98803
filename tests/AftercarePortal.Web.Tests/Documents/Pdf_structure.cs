using System.Text.Json.Nodes;
using System.Text.RegularExpressions;

namespace AftercarePortal.Web.Tests.Documents;

/// <summary>A PDF as <c>qpdf --json</c> tells it, held against what a machine can check of PDF/UA-1.</summary>
/// <remarks>Clauses are of ISO 14289-1:2014, from memory, unchecked. It is less than conformance: whether an order or an alternative makes sense a person must judge.</remarks>
internal sealed partial class Pdf_structure
{
    private static readonly HashSet<string> Standard =
        [
            "/Document", "/Part", "/Art", "/Sect", "/Div", "/BlockQuote", "/Caption", "/TOC", "/TOCI", "/Index", "/NonStruct", "/Private", "/P", "/H", "/H1", "/H2", "/H3", "/H4", "/H5", "/H6",
            "/L", "/LI", "/Lbl", "/LBody", "/Table", "/TR", "/TH", "/TD", "/THead", "/TBody", "/TFoot", "/Span", "/Quote", "/Note", "/Reference", "/BibEntry", "/Code", "/Link", "/Annot", "/Ruby", "/Warichu", "/Figure", "/Formula", "/Form",
        ];

    private readonly JsonObject _objects;
    private readonly List<string> _faults = [];

    /// <param name="json">What <c>qpdf --json=2 --json-stream-data=inline --decode-level=none</c> printed.</param>
    public Pdf_structure(string json) => _objects = JsonNode.Parse(json)!["qpdf"]![1]!.AsObject();

    /// <summary>Every fault, each with its clause; empty when nothing was found.</summary>
    public IReadOnlyList<string> Faults()
    {
        var trailer = _objects["trailer"]!["value"]!.AsObject();
        if (trailer.ContainsKey("/Encrypt")) Fault("7.16", "it is encrypted");
        var catalog = Dict(trailer["/Root"]);
        Document(catalog);
        Metadata(catalog);
        var roles = Dict(Dict(catalog["/StructTreeRoot"])["/RoleMap"]);
        var tree = new List<(string Type, JsonObject Element)>();
        Walk(Dict(catalog["/StructTreeRoot"])["/K"], roles, tree);
        Tree(tree);
        foreach (var (page, number) in Pages(Dict(catalog["/Pages"])).Select((p, i) => (p, i + 1))) Page(page, number);
        foreach (var font in _objects.Select(o => Value(o.Value)).OfType<JsonObject>().Where(o => Name(o["/Type"]) == "/Font")) Font(font);
        return _faults;
    }

    private void Document(JsonObject catalog)
    {
        if (Dict(catalog["/MarkInfo"])["/Marked"]?.GetValue<bool>() != true) Fault("7.1", "MarkInfo does not say Marked");
        if (Dict(catalog["/MarkInfo"])["/Suspects"]?.GetValue<bool>() == true) Fault("7.1", "MarkInfo says Suspects");
        if (Dict(catalog["/ViewerPreferences"])["/DisplayDocTitle"]?.GetValue<bool>() != true) Fault("7.1", "the title is not what a viewer shows");
        if (Dict(catalog["/StructTreeRoot"]).Count == 0) Fault("7.1", "there is no structure tree");
        if (!Dict(catalog["/StructTreeRoot"]).ContainsKey("/ParentTree")) Fault("7.1", "the structure tree has no parent tree");
        if (Text(catalog["/Lang"]) is not { Length: >= 2 }) Fault("7.2", "no language is named");
        if (Dict(catalog["/AcroForm"]).ContainsKey("/XFA")) Fault("7.15", "it holds a dynamic form");
    }

    private void Metadata(JsonObject catalog)
    {
        var xmp = Stream(catalog["/Metadata"]);
        if (!Part().IsMatch(xmp)) Fault("5", "the metadata does not say pdfuaid:part 1");
        if (!Title().IsMatch(xmp)) Fault("7.1", "the metadata holds no dc:title");
    }

    private void Walk(JsonNode? kids, JsonObject roles, List<(string, JsonObject)> tree)
    {
        switch (Value(kids))
        {
            case JsonArray several:
                foreach (var kid in several) Walk(kid, roles, tree);
                break;
            case JsonObject element when Name(element["/S"]) is { } type:
                for (var hops = 0; hops < 9 && Name(roles[type]) is { } mapped; hops++) type = mapped;
                if (!Standard.Contains(type)) Fault("7.1", $"{type} is no standard structure type and is mapped to none");
                tree.Add((type, element));
                Walk(element["/K"], roles, tree);
                break;
        }
    }

    private void Tree(List<(string Type, JsonObject Element)> tree)
    {
        var level = 0;
        foreach (var (type, _) in tree.Where(e => Heading().IsMatch(e.Type)))
        {
            var now = type[2] - '0';
            if (now > level + 1) Fault("7.4.2", $"{type} follows level {level}");
            level = now;
        }

        if (level == 0) Fault("7.4.2", "there is no heading");
        if (tree.Any(e => e.Type is "/Figure" or "/Formula" && string.IsNullOrWhiteSpace(Text(e.Element["/Alt"])) && string.IsNullOrWhiteSpace(Text(e.Element["/ActualText"])))) Fault("7.3", "a figure has no alternative");
        if (tree.Count(e => e.Type == "/Table") > 0 && tree.All(e => e.Type != "/TH")) Fault("7.5", "a table has no header cell");
        if (tree.All(e => e.Type != "/P")) Fault("7.1", "there is no paragraph");
    }

    private void Page(JsonObject page, int number)
    {
        if (Value(page["/Annots"]) is JsonArray { Count: > 0 } && Name(page["/Tabs"]) != "/S") Fault("7.18.3", $"page {number}: the order of tabs is not the structure's");
        var content = string.Join('\n', (Value(page["/Contents"]) is JsonArray parts ? parts : [page["/Contents"]!.DeepClone()]).Select(Stream));
        if (Value(page["/Contents"]) is JsonObject packed && packed.ContainsKey("/Filter")) Fault("not checked", $"page {number} is packed and cannot be read");
        var (open, marked, count, inside) = (new Stack<int>(), false, 0, 0);
        foreach (var op in Operators().Matches(Strings().Replace(content, "()")).Select(m => m.Value))
            switch (op)
            {
                case "BT": inside = ++count; break;
                case "ET": inside = 0; break;
                case "BDC" or "BMC":
                    open.Push(inside);
                    marked = true;
                    break;
                case "EMC":
                    if (!open.TryPop(out var from) || from != inside) Fault("ISO 32000-1, 14.6.1", $"page {number}: a tag begins in one text object and ends in another");
                    break;
                default:
                    if (open.Count == 0) Fault("7.1", $"page {number}: text is neither tagged nor an artifact");
                    break;
            }

        if (marked && !page.ContainsKey("/StructParents")) Fault("7.1", $"page {number}: its content leads to no structure");
    }

    private void Font(JsonObject font)
    {
        var (name, type) = (Name(font["/BaseFont"]), Name(font["/Subtype"]));
        if (type is "/Type0")
        {
            if (!font.ContainsKey("/ToUnicode")) Fault("7.21.7", $"{name} does not lead to Unicode");
            return;
        }

        var about = Dict(font["/FontDescriptor"]);
        if (type is not "/Type3" && !about.ContainsKey("/FontFile") && !about.ContainsKey("/FontFile2") && !about.ContainsKey("/FontFile3")) Fault("7.21.4.1", $"{name} is not embedded");
        if (type is "/CIDFontType2" && !font.ContainsKey("/CIDToGIDMap")) Fault("7.21.3.2", $"{name} has no CIDToGIDMap");
    }

    private IEnumerable<JsonObject> Pages(JsonObject node) =>
        Name(node["/Type"]) == "/Page" ? [node] : Value(node["/Kids"]) is JsonArray kids ? kids.SelectMany(k => Pages(Dict(k))) : [];

    private void Fault(string clause, string says)
    {
        if (!_faults.Contains($"{clause}: {says}")) _faults.Add($"{clause}: {says}");
    }

    // A reference leads to its object; the dictionary of a stream counts as the object.
    private JsonNode? Value(JsonNode? node)
    {
        if (node is JsonValue value && value.TryGetValue<string>(out var text) && text.EndsWith(" R", StringComparison.Ordinal)) node = _objects["obj:" + text];
        if (node is not JsonObject found) return node;
        return found.ContainsKey("value") ? Value(found["value"]) : found["stream"] is JsonObject stream ? stream["dict"] : node;
    }

    private JsonObject Dict(JsonNode? node) => Value(node) as JsonObject ?? [];

    private string Stream(JsonNode? node) =>
        node is JsonValue value && value.TryGetValue<string>(out var text) && _objects["obj:" + text]?["stream"]?["data"]?.GetValue<string>() is { } data ? System.Text.Encoding.Latin1.GetString(Convert.FromBase64String(data)) : "";

    private string? Name(JsonNode? node) => Value(node) is JsonValue value && value.TryGetValue<string>(out var text) ? text : null;

    // qpdf writes u: before text and b: before bytes.
    private string? Text(JsonNode? node) => Name(node) is { } text ? text[(text.IndexOf(':', StringComparison.Ordinal) + 1)..] : null;

    [GeneratedRegex(@"pdfuaid:part(?:>|\s*=\s*"")\s*1\b")]
    private static partial Regex Part();

    [GeneratedRegex(@"<dc:title>\s*<rdf:Alt>\s*<rdf:li[^>]*>[^<\s]")]
    private static partial Regex Title();

    [GeneratedRegex("^/H[1-6]$")]
    private static partial Regex Heading();

    [GeneratedRegex(@"(?<![A-Za-z/])(?:BT|ET|BDC|BMC|EMC|Tj|TJ)(?![A-Za-z])")]
    private static partial Regex Operators();

    [GeneratedRegex(@"\((?:\\.|[^\\()]|\([^()]*\))*\)", RegexOptions.Singleline)]
    private static partial Regex Strings();
}
