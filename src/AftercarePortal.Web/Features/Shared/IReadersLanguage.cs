namespace AftercarePortal.Web.Features.Shared;

/// <summary>Knows in which language the person reads whose page an address is.</summary>
internal interface IReadersLanguage
{
    /// <summary><c>en</c> or <c>es</c>; null: nothing is known by this address.</summary>
    Task<string?> Of(HttpContext context);
}
