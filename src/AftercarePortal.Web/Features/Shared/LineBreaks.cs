using Microsoft.AspNetCore.Mvc.ModelBinding;
using Microsoft.AspNetCore.Mvc.ModelBinding.Binders;

namespace AftercarePortal.Web.Features.Shared;

/// <summary>Makes a line break in what was typed one character, as the page counted it.</summary>
/// <remarks>A browser counts a break once against <c>maxlength</c> and sends it as two (HTML Standard, forms: "API value" and "construct the entry list"; from memory).
/// Without this a text as long as its page allows would be refused for its breaks.</remarks>
internal static class LineBreaks
{
    /// <summary>CR LF as LF; other characters as they are.</summary>
    public static string AsOne(string typed) => typed.Replace("\r\n", "\n", StringComparison.Ordinal);

    /// <summary>Does so for every text a page is given.</summary>
    internal sealed class Provider : IModelBinderProvider
    {
        public IModelBinder? GetBinder(ModelBinderProviderContext context) =>
            context.Metadata.ModelType == typeof(string) && context.BindingInfo.BinderType is null
                ? new Binder(new SimpleTypeModelBinder(typeof(string), context.Services.GetRequiredService<ILoggerFactory>()))
                : null;
    }

    private sealed class Binder(SimpleTypeModelBinder whole) : IModelBinder
    {
        public async Task BindModelAsync(ModelBindingContext bindingContext)
        {
            await whole.BindModelAsync(bindingContext);
            if (bindingContext.Result.Model is string typed) bindingContext.Result = ModelBindingResult.Success(AsOne(typed));
        }
    }
}
