using System.Globalization;
using System.Text.Json.Nodes;
using AftercarePortal.Clinical.Sources;
using YamlDotNet.Core;
using YamlDotNet.RepresentationModel;

namespace AftercarePortal.Web.ContentFiles;

/// <summary>One content file (YAML or JSON), with the line of every value.</summary>
internal sealed class ContentDocument
{
    private readonly Dictionary<string, Mark> _places = [];

    private ContentDocument(string file) => File = file;

    /// <summary>The file's name, without its folder's machine path.</summary>
    public string File { get; }

    /// <summary>The whole file. Dates stay strings; plain true, false and numbers are typed.</summary>
    public JsonObject Root { get; private set; } = [];

    /// <summary>Id and version of the file's header; a header without them was reported when loading.</summary>
    public ContentVersion Version { get; private set; }

    /// <summary>Reads one file. Null, with faults added, when it cannot be read as one mapping with <c>id</c> and <c>version</c>.</summary>
    /// <remarks>Null as well when it does not fit the schema of its kind.</remarks>
    public static ContentDocument? Load(string path, List<ContentError> errors)
    {
        using var reader = new StreamReader(path);
        return Load(path, reader, errors);
    }

    /// <summary>Reads one file from a text that stands in it, such as the front matter of a Markdown file.</summary>
    public static ContentDocument? Load(string path, TextReader text, List<ContentError> errors)
    {
        var document = new ContentDocument(Path.Combine(Path.GetFileName(Path.GetDirectoryName(path)) ?? "", Path.GetFileName(path)));
        try
        {
            var stream = new YamlStream();
            stream.Load(text);
            if (stream.Documents is not [{ RootNode: YamlMappingNode mapping }])
            {
                errors.Add(new(document.File, 1, 1, "/", "The file must hold exactly one mapping."));
                return null;
            }

            document.Root = (JsonObject)document.Convert(mapping, "")!;
        }
        catch (YamlException fault)
        {
            errors.Add(new(document.File, (int)fault.Start.Line, (int)fault.Start.Column, "/", fault.Message));
            return null;
        }

        return document.ReadHeader(errors) && ContentSchema.Fits(path, document, errors) ? document : null;
    }

    /// <summary>Reports a fault at a JSON pointer; an absent value is reported at its nearest parent.</summary>
    public void Fault(List<ContentError> errors, string pointer, string reason)
    {
        var at = pointer;
        while (!_places.ContainsKey(at) && at.LastIndexOf('/') is > 0 and var slash) at = at[..slash];
        var place = _places.GetValueOrDefault(at, new Mark(0, 1, 1));
        errors.Add(new(File, (int)place.Line, (int)place.Column, pointer, reason));
    }

    private bool ReadHeader(List<ContentError> errors)
    {
        // A FHIR resource carries its version as a string.
        var number = Root["version"] switch
        {
            JsonValue value when value.TryGetValue<int>(out var n) => n,
            JsonValue value when value.TryGetValue<string>(out var s) && int.TryParse(s, out var n) => n,
            _ => 0,
        };
        if (Root["id"] is JsonValue id && id.TryGetValue<string>(out var name) && number >= 1)
        {
            Version = new(name, number);
            return true;
        }

        Fault(errors, "/version", "The header needs an id and a version of 1 or more.");
        return false;
    }

    private JsonNode? Convert(YamlNode node, string pointer)
    {
        _places[pointer] = node.Start;
        return node switch
        {
            YamlMappingNode mapping => Mapping(mapping, pointer),
            YamlSequenceNode sequence => new JsonArray([.. sequence.Children.Select((child, i) => Convert(child, $"{pointer}/{i}"))]),
            YamlScalarNode scalar => Scalar(scalar),
            _ => throw new YamlException(node.Start, node.End, "Aliases are not used in content."),
        };
    }

    private JsonObject Mapping(YamlMappingNode mapping, string pointer)
    {
        var result = new JsonObject();
        foreach (var (key, value) in mapping.Children)
        {
            var name = (key as YamlScalarNode)?.Value ?? throw new YamlException(key.Start, key.End, "A key is a word.");
            result.Add(name, Convert(value, $"{pointer}/{name}"));
        }

        return result;
    }

    private static JsonNode? Scalar(YamlScalarNode scalar)
    {
        var text = scalar.Value ?? "";
        if (scalar.Style is not ScalarStyle.Plain) return JsonValue.Create(text);
        return text switch
        {
            "null" or "~" or "" => null,
            "true" => JsonValue.Create(true),
            "false" => JsonValue.Create(false),
            _ when int.TryParse(text, NumberStyles.AllowLeadingSign, CultureInfo.InvariantCulture, out var whole) => JsonValue.Create(whole),
            _ when decimal.TryParse(text, NumberStyles.AllowLeadingSign | NumberStyles.AllowDecimalPoint, CultureInfo.InvariantCulture, out var number) => JsonValue.Create(number),
            _ => JsonValue.Create(text),
        };
    }
}
