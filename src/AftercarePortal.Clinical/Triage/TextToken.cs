namespace AftercarePortal.Clinical.Triage;

/// <summary>One word, number or picture sign of a raw text, folded for look-up.</summary>
/// <param name="Form">Lower case, no marks, no apostrophes.</param>
/// <param name="Start">First UTF-16 index in the raw text.</param>
/// <param name="End">One past the last index.</param>
/// <param name="Place">Word count with sentence ends adding two.</param>
/// <param name="BreakBefore">Comma or sentence end stands before it.</param>
/// <param name="Question">A question mark follows before the next word.</param>
internal sealed record TextToken(string Form, int Start, int End, int Place, bool BreakBefore, bool Question)
{
    internal bool IsNumber => Form.Length > 0 && char.IsAsciiDigit(Form[0]) && Form.All(c => char.IsAsciiDigit(c) || c is '.' or '/');
}
