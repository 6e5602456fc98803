using Microsoft.AspNetCore.Http.Extensions;
using Microsoft.AspNetCore.Mvc.Rendering;
using Microsoft.AspNetCore.Mvc.ViewFeatures;
using Microsoft.AspNetCore.Razor.TagHelpers;

namespace AftercarePortal.Web.Features.Shared;

/// <summary>A form that names no address posts to its page, and not to the handler that was pressed before.</summary>
/// <remarks>A browser posts such a form to the address the page stands at. After a refused "call it off" or a search that is the address of that handler, and what was meant
/// to be kept or moved would be called off, or searched for, again (HTML Standard, form submission: an empty action is the document's URL; from memory).</remarks>
[HtmlTargetElement("form")]
public sealed class OwnFormTagHelper : TagHelper
{
    /// <summary>The request the page answers.</summary>
    [ViewContext]
    [HtmlAttributeNotBound]
    public ViewContext ViewContext { get; set; } = null!;

    /// <summary>After the framework's own, which writes the address of a handler that is named.</summary>
    public override int Order => 0;

    /// <summary>Writes the page's address without the handler where it stands at one; the rest of the address stays.</summary>
    public override void Process(TagHelperContext context, TagHelperOutput output)
    {
        var request = ViewContext.HttpContext.Request;
        if (output.Attributes.ContainsName("action") || !request.Query.ContainsKey("handler")) return;
        output.Attributes.SetAttribute("action", request.PathBase + request.Path + new QueryBuilder(request.Query.Where(q => !q.Key.Equals("handler", StringComparison.OrdinalIgnoreCase))));
    }
}
