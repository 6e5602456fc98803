using System.Security;

namespace AftercarePortal.Web.Features.Rota;

/// <summary>What a page by voice says and where the pressed key goes.</summary>
internal static class VoicePage
{
    /// <summary>As the carrier's call language; it works without our server until a key is pressed.</summary>
    /// <param name="unanswered">Said when no key was pressed.</param>
    public static string Of(Uri action, string words, string unanswered) =>
        $"<Response><Gather input=\"dtmf\" numDigits=\"1\" timeout=\"8\" method=\"POST\" action=\"{SecurityElement.Escape(action.ToString())}\"><Say>{SecurityElement.Escape(words)}</Say></Gather><Say>{SecurityElement.Escape(unanswered)}</Say></Response>";
}
